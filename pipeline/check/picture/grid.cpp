#include "pipeline/check/picture/grid.h"

#include <algorithm>

namespace tabard::pipeline {
namespace {

constexpr SizePx kGridSize{kGridSide, kGridSide};

/// Mean of one cell of a plane that has `side` by `side` of them, over about three of its rows; codes as they are.
template <class Sample>
float mean(PlaneView const& plane, PointPx cell, int side = kGridSide)
{
    int const left = cell.x * plane.width / side;
    int const right = std::max(left + 1, (cell.x + 1) * plane.width / side);
    int const top = cell.y * plane.height / side;
    int const bottom = std::max(top + 1, (cell.y + 1) * plane.height / side);
    int const step = std::max(1, (bottom - top) / 3);
    std::uint32_t sum = 0;
    std::uint32_t count = 0;
    for (int y = top + (bottom - top > step ? step / 2 : 0); y < bottom; y += step) {
        auto const* const row = reinterpret_cast<Sample const*>(plane.data + y * plane.stride);
        for (int x = left; x < right; ++x)
            sum += row[x];
        count += static_cast<std::uint32_t>(right - left);
    }
    return static_cast<float>(sum) / static_cast<float>(count);
}

template <class Sample>
Grid measure(PictureView const& picture, Orientation orientation, float scale)
{
    Grid grid;
    for (int y = 0; y < kGridSide; ++y) {
        for (int x = 0; x < kGridSide; ++x) {
            PointPx const stored = orientation.stored_at({x, y}, kGridSize);
            grid[static_cast<std::size_t>(y * kGridSide + x)] = {scale * mean<Sample>(picture.planes[0], stored),
                                                                 scale * mean<Sample>(picture.planes[1], stored),
                                                                 scale * mean<Sample>(picture.planes[2], stored)};
        }
    }
    return grid;
}

template <class Sample>
RangeGrid ranges(PictureView const& picture, Orientation orientation, float scale)
{
    constexpr int kParts = 4;
    RangeGrid result;
    for (int y = 0; y < kGridSide; ++y) {
        for (int x = 0; x < kGridSide; ++x) {
            PointPx const stored = orientation.stored_at({x, y}, kGridSize);
            LumaRange range{255, 0};
            for (int part = 0; part < kParts * kParts; ++part) {
                PointPx const at{stored.x * kParts + part % kParts, stored.y * kParts + part / kParts};
                float const luma = scale * mean<Sample>(picture.planes[0], at, kGridSide * kParts);
                range = {std::min(range.darkest, luma), std::max(range.lightest, luma)};
            }
            result[static_cast<std::size_t>(y * kGridSide + x)] = range;
        }
    }
    return result;
}

} // namespace

RangeGrid measure_ranges(PictureView const& picture, Orientation orientation)
{
    if (picture.layout.bit_depth > 8)
        return ranges<std::uint16_t>(picture, orientation, 0.25F);
    return ranges<std::uint8_t>(picture, orientation, 1.0F);
}

Grid measure_grid(PictureView const& picture, Orientation orientation)
{
    if (picture.layout.bit_depth > 8)
        return measure<std::uint16_t>(picture, orientation, 0.25F);
    return measure<std::uint8_t>(picture, orientation, 1.0F);
}

} // namespace tabard::pipeline
