#include "overlay/drawing/layout.h"
#include "pipeline/check/rules/rules.h"

#include <fmt/format.h>

namespace tabard::pipeline {
namespace {

/// Digits that are drawn with an em of fewer pixels than this cannot be told apart.
constexpr double kFewestPixels = 11;

std::vector<Finding> find(CheckInput const& input)
{
    if (!input.film)
        return {};
    double const pixels = overlay::kPlayedEm * overlay::make_layout(stage_of(input.lesson, input.film->displayed)).unit;
    if (pixels >= kFewestPixels)
        return {};
    return {kSmallPicture.at(input.lesson.footage.at, std::nullopt,
                             fmt::format("finger numbers would be {:.0f} pixels large in a picture of {} by {}", pixels,
                                         input.film->displayed.width, input.film->displayed.height),
                             "use the footage in its full size")};
}

} // namespace

Rule const kSmallPicture{
    "small-picture", Severity::warning, "text below a legible size in this picture",
    "Finger numbers have an em of 11/400 of the picture's width, less where it is wider than 2.4:1. Under 11 pixels "
    "digits cannot be told apart, whatever the screen they are shown on.",
    find};

} // namespace tabard::pipeline
