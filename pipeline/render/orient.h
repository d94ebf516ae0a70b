#pragma once
#include "overlay/drawing/bitmap.h"

namespace tabard::pipeline {

/// From upright pixels to stored ones. The footage is shown by mirroring its stored pictures left to right where
/// `mirrored`, then turning them clockwise by `quarter_turns` (0..3); this undoes that for an overlay, so that it is
/// upright and readable when shown. `shown_width` x `shown_height` is the upright picture in pixels.
overlay::Bitmap orient_to_stored(overlay::Bitmap const& upright, int shown_width, int shown_height, int quarter_turns,
                                 bool mirrored);

} // namespace tabard::pipeline
