#pragma once
#include <cstdint>
#include <vector>

namespace tabard::overlay {

/// Whole pixels, origin top-left, y down; [x, x + width) by [y, y + height).
struct RectPx {
    int x = 0;
    int y = 0;
    int width = 0;
    int height = 0;
    bool empty() const { return width <= 0 || height <= 0; }
    friend bool operator==(RectPx const&, RectPx const&) = default;
};

/// Premultiplied sRGB, 32 bits a pixel as Cairo's ARGB32 (bytes B, G, R, A on little-endian), rows tightly packed,
/// cropped to what is inked. `at` places it in the picture.
struct Bitmap {
    RectPx at;
    std::vector<std::uint32_t> pixels; ///< at.width * at.height
    friend bool operator==(Bitmap const&, Bitmap const&) = default;
};

} // namespace tabard::overlay
