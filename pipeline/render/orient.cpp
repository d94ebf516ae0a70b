#include "pipeline/render/orient.h"

#include <algorithm>
#include <cstdlib>

namespace tabard::pipeline {
namespace {

overlay::RectPx spanned(PointPx a, PointPx b)
{
    return {std::min(a.x, b.x), std::min(a.y, b.y), std::abs(a.x - b.x) + 1, std::abs(a.y - b.y) + 1};
}

} // namespace

overlay::Bitmap orient_to_stored(overlay::Bitmap const& upright, Orientation orientation, SizePx stored)
{
    overlay::RectPx const& at = upright.at;
    if (orientation == Orientation{} || at.empty())
        return upright;
    PointPx const first = orientation.stored_at({at.x, at.y}, stored);
    PointPx const last = orientation.stored_at({at.x + at.width - 1, at.y + at.height - 1}, stored);
    overlay::Bitmap turned{spanned(first, last), {}};
    turned.pixels.resize(upright.pixels.size());
    auto pixel = upright.pixels.begin();
    for (int y = at.y; y < at.y + at.height; ++y) {
        for (int x = at.x; x < at.x + at.width; ++x) {
            PointPx const to = orientation.stored_at({x, y}, stored);
            turned.pixels[static_cast<std::size_t>(to.y - turned.at.y) * static_cast<std::size_t>(turned.at.width) +
                          static_cast<std::size_t>(to.x - turned.at.x)] = *pixel++;
        }
    }
    return turned;
}

} // namespace tabard::pipeline
