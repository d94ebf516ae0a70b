#pragma once
#include "overlay/drawing/bitmap.h"
#include "pipeline/media/orientation.h"

namespace tabard::pipeline {

/// An upright overlay in stored pixels of footage that is shown with `orientation`: so it is upright and readable when
/// the picture is shown. `stored` is the size of the stored picture.
overlay::Bitmap orient_to_stored(overlay::Bitmap const& upright, Orientation orientation, SizePx stored);

} // namespace tabard::pipeline
