#pragma once
#include "overlay/base/result.h"

#include <compare>
#include <cstdint>
#include <string_view>

namespace tabard::overlay {

/// sRGB, straight (not premultiplied) alpha, 8 bits each.
struct Colour {
    std::uint8_t red = 0;
    std::uint8_t green = 0;
    std::uint8_t blue = 0;
    std::uint8_t alpha = 255;
    friend constexpr auto operator<=>(Colour, Colour) = default;
};

/// Reads "#RRGGBB" or "#RRGGBBAA". Fails with invalid_input.
Result<Colour> parse_colour(std::string_view text);

/// Contrast ratio of two opaque colours after WCAG 2.x (relative luminance of linearised sRGB): 1 to 21.
double contrast_ratio(Colour a, Colour b);

/// `top` laid over opaque `below` (Porter-Duff over), opaque.
Colour over(Colour top, Colour below);

} // namespace tabard::overlay
