#pragma once
#include <algorithm>
#include <compare>

namespace tabard::overlay {

/// A rectangle in drawing units (square, y down): [x, x + width) by [y, y + height).
struct Box {
    double x = 0;
    double y = 0;
    double width = 0;
    double height = 0;
    friend auto operator<=>(Box const&, Box const&) = default;

    constexpr double right() const { return x + width; }
    constexpr double bottom() const { return y + height; }
    constexpr double centre_x() const { return x + width / 2; }
    constexpr double centre_y() const { return y + height / 2; }
    /// The same box with `margin` taken off at each side.
    constexpr Box inset(double margin) const
    {
        return {x + margin, y + margin, width - 2 * margin, height - 2 * margin};
    }
    constexpr bool contains(Box const& other) const
    {
        return other.x >= x && other.y >= y && other.right() <= right() && other.bottom() <= bottom();
    }
    constexpr bool overlaps(Box const& other) const
    {
        return other.x < right() && x < other.right() && other.y < bottom() && y < other.bottom();
    }
};

} // namespace tabard::overlay
