#include "pipeline/media/orientation.h"

#include <cstdlib>

namespace tabard::pipeline {

SizePx Orientation::shown_size(SizePx stored) const
{
    return quarter_turns % 2 == 0 ? stored : SizePx{stored.height, stored.width};
}

PointPx Orientation::shown_at(PointPx at, SizePx stored) const
{
    int const x = mirrored ? stored.width - 1 - at.x : at.x;
    int const y = at.y;
    switch (quarter_turns) {
    case 1:
        return {stored.height - 1 - y, x};
    case 2:
        return {stored.width - 1 - x, stored.height - 1 - y};
    case 3:
        return {y, stored.width - 1 - x};
    default:
        return {x, y};
    }
}

PointPx Orientation::stored_at(PointPx at, SizePx stored) const
{
    PointPx turned = at;
    switch (quarter_turns) {
    case 1:
        turned = {at.y, stored.height - 1 - at.x};
        break;
    case 2:
        turned = {stored.width - 1 - at.x, stored.height - 1 - at.y};
        break;
    case 3:
        turned = {stored.width - 1 - at.y, at.x};
        break;
    default:
        break;
    }
    return {mirrored ? stored.width - 1 - turned.x : turned.x, turned.y};
}

std::optional<Orientation> Orientation::from_matrix(std::array<std::int32_t, 9> const& matrix)
{
    // A stored point (x, y) is shown at (a x + c y + tx, b x + d y + ty).
    auto const sign = [](std::int32_t value) { return value > 0 ? 1 : value < 0 ? -1 : 0; };
    int const a = sign(matrix[0]);
    int const b = sign(matrix[1]);
    int const c = sign(matrix[3]);
    int const d = sign(matrix[4]);
    if (b == 0 && c == 0 && a != 0 && d != 0)
        return d > 0 ? Orientation{0, a < 0} : Orientation{2, a > 0};
    if (a == 0 && d == 0 && b != 0 && c != 0)
        return c < 0 ? Orientation{1, b < 0} : Orientation{3, b > 0};
    return std::nullopt;
}

} // namespace tabard::pipeline
