#pragma once
#include "overlay/drawing/scene.h"
#include "pipeline/media/picture.h"
#include "pipeline/render/overlay_planes.h"

namespace tabard::pipeline {

/// Lays `overlay` over `picture`, in place: Porter and Duff's "over" with premultiplied colours. Samples where the
/// overlay is clear, and all outside its rectangle, keep their exact value.
/// level  0..overlay::kFullLevel: how much of the overlay is there.
/// The picture must have the layout and the size that the overlay was made for.
void blend(PictureView const& picture, OverlayPlanes const& overlay, int level = overlay::kFullLevel) noexcept;

} // namespace tabard::pipeline
