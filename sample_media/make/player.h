#pragma once
#include "sample_media/make/motion.h"
#include "sample_media/make/pen.h"

namespace tabard::lantern {

/// The player with the guitar, sitting on a crate in the middle of the picture.
void draw_player(Pen& pen, Pose const& pose);

} // namespace tabard::lantern
