#pragma once
#include "overlay/ass/card_scribe.h"
#include "pipeline/media/write/added_tracks.h"
#include "pipeline/render/picture_stamps.h"
#include "pipeline/render/scene_runs.h"

#include <vector>

namespace tabard::pipeline {

/// The scenes of a film as events that a player draws. `runs` begin and end with pictures (SceneRuns::on_pictures())
/// and show cards that `scribe` has drawn. What stays on screen is one event, however often the rest of its card
/// changes; areas of one colour that come and go together are one event. Fades run evenly through the levels that
/// scenes have at their steps.
std::vector<AddedCaptions::Event> overlay_events(SceneRuns const& runs, PictureStamps const& stamps,
                                                 overlay::CardScribe const& scribe, overlay::CardScribe::Hand hand);

} // namespace tabard::pipeline
