#pragma once
#include "overlay/drawing/bitmap.h"
#include "pipeline/media/picture.h"
#include "pipeline/render/footage_colour.h"

#include <cstdint>
#include <vector>

namespace tabard::pipeline {

/// A drawn overlay as it is laid over stored pictures: premultiplied Y', Cb, Cr and alpha at the footage's chroma
/// layout. Made once, blended many times. Rows are tightly packed; colours and alpha are 16-bit fractions: a colour of
/// code c at full cover is c << (16 - bit depth), alpha 0xffff is full cover. Alpha is averaged over the pixels of each
/// chroma sample.
struct OverlayPlanes {
    PixelLayout layout;
    overlay::RectPx
        luma_at; ///< in samples of the luma plane; always inside the picture; even aligned where chroma is halved
    overlay::RectPx chroma_at; ///< in samples of the chroma planes
    std::vector<std::uint16_t> luma, luma_alpha;
    std::vector<std::uint16_t> blue, red, chroma_alpha;

    bool empty() const { return luma_at.empty(); }
    std::size_t bytes() const { return 2 * (2 * luma.size() + 3 * blue.size()); }
};

/// `bitmap` in pixels of the stored picture (already turned, see orient.h), which is `width` x `height` luma samples.
/// What lies outside the picture is cut off.
OverlayPlanes make_overlay_planes(overlay::Bitmap const& bitmap, int width, int height, PixelLayout layout,
                                  OverlayColour& colour);

} // namespace tabard::pipeline
