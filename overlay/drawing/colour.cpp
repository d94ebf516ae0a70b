#include "overlay/drawing/colour.h"

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>

#include <fmt/format.h>

namespace tabard::overlay {
namespace {

double linear(std::uint8_t channel)
{
    double const value = channel / 255.0;
    return value <= 0.04045 ? value / 12.92 : std::pow((value + 0.055) / 1.055, 2.4);
}

double relative_luminance(Colour colour)
{
    return 0.2126 * linear(colour.red) + 0.7152 * linear(colour.green) + 0.0722 * linear(colour.blue);
}

std::uint8_t mix(std::uint8_t top, std::uint8_t below, std::uint8_t alpha)
{
    return static_cast<std::uint8_t>((top * alpha + below * (255 - alpha) + 127) / 255);
}

} // namespace

Result<Colour> parse_colour(std::string_view text)
{
    Error const wrong{ErrorKind::invalid_input,
                      fmt::format("\"{}\" is not a colour: write #RRGGBB or #RRGGBBAA", text)};
    if ((text.size() != 7 && text.size() != 9) || text[0] != '#')
        return wrong;
    std::array<std::uint8_t, 4> channels{0, 0, 0, 255};
    for (std::size_t i = 0; 2 * i + 1 < text.size(); ++i) {
        char const* const begin = text.data() + 1 + 2 * i;
        auto const [end, failure] = std::from_chars(begin, begin + 2, channels.at(i), 16);
        if (failure != std::errc{} || end != begin + 2)
            return wrong;
    }
    return Colour{channels[0], channels[1], channels[2], channels[3]};
}

double contrast_ratio(Colour a, Colour b)
{
    auto const [dark, light] = std::minmax({relative_luminance(a), relative_luminance(b)});
    return (light + 0.05) / (dark + 0.05);
}

Colour over(Colour top, Colour below)
{
    return {mix(top.red, below.red, top.alpha), mix(top.green, below.green, top.alpha),
            mix(top.blue, below.blue, top.alpha)};
}

} // namespace tabard::overlay
