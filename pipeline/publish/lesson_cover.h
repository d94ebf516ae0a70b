#pragma once
#include "overlay/drawing/cover.h"
#include "overlay/drawing/theme.h"
#include "pipeline/timeline/timeline.h"

namespace tabard::pipeline {

/// The instant of the film that is behind the cover: the middle of the first chord, else a tenth into the film.
Time cover_time(Timeline const& timeline);

/// The lesson's cover: title, capo, key and number of chords over `picture`, which may be empty, or beside it, with the
/// first shape as its emblem. `sights`: what should stay visible of the picture.
overlay::Bitmap draw_cover(Lesson const& lesson, overlay::Bitmap const& picture,
                           std::vector<overlay::CoverSight> const& sights, overlay::Theme const& theme);

} // namespace tabard::pipeline
