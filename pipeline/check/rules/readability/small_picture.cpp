#include "pipeline/check/rules/rules.h"

#include <algorithm>

#include <fmt/format.h>

namespace tabard::pipeline {
namespace {

/// Finger numbers are at least 2.2 % of the picture's height (or width, where that is less) and are not to be drawn
/// with fewer than this many pixels.
constexpr double kSmallestText = 0.022;
constexpr double kFewestPixels = 8;

std::vector<Finding> find(CheckInput const& input)
{
    if (!input.film)
        return {};
    int const side = std::min(input.film->displayed.width, input.film->displayed.height);
    double const pixels = kSmallestText * side;
    if (pixels >= kFewestPixels)
        return {};
    return {kSmallPicture.at(input.lesson.footage.at, std::nullopt,
                             fmt::format("finger numbers would be {:.0f} pixels high in a picture of {} by {}", pixels,
                                         input.film->displayed.width, input.film->displayed.height),
                             "use the footage in its full size")};
}

} // namespace

Rule const kSmallPicture{
    "small-picture", Severity::warning, "text below a legible size in this picture",
    "The smallest text of the overlays is 2.2 % of the picture's shorter side. Under 8 pixels digits "
    "cannot be told apart, whatever the screen they are shown on.",
    find};

} // namespace tabard::pipeline
