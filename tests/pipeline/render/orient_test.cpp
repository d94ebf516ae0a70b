#include "pipeline/render/orient.h"

#include <algorithm>
#include <vector>

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

namespace tabard::pipeline {
namespace {

// What a player does with a stored picture: mirror left to right, then turn clockwise. Written from that sentence,
// pixel by pixel on a whole picture: row `y` of a picture turned clockwise is column `y` of it read from the bottom.
struct Grid {
    int width, height;
    std::vector<std::uint32_t> at;
};
Grid show(Grid grid, int quarter_turns, bool mirrored)
{
    if (mirrored)
        for (int y = 0; y < grid.height; ++y)
            std::reverse(grid.at.begin() + y * grid.width, grid.at.begin() + (y + 1) * grid.width);
    for (int turn = 0; turn < quarter_turns; ++turn) {
        Grid turned{grid.height, grid.width, {}};
        for (int column = 0; column < grid.width; ++column)
            for (int row = grid.height - 1; row >= 0; --row)
                turned.at.push_back(grid.at[static_cast<std::size_t>(row * grid.width + column)]);
        grid = turned;
    }
    return grid;
}
Grid paste(overlay::Bitmap const& bitmap, int width, int height)
{
    Grid grid{width, height, std::vector<std::uint32_t>(static_cast<std::size_t>(width * height))};
    for (int y = 0; y < bitmap.at.height; ++y)
        for (int x = 0; x < bitmap.at.width; ++x)
            grid.at[static_cast<std::size_t>((bitmap.at.y + y) * width + bitmap.at.x + x)] =
                bitmap.pixels[static_cast<std::size_t>(y * bitmap.at.width + x)];
    return grid;
}

RC_GTEST_PROP(Orientation, OfAnOverlayIsUprightWhenThePictureIsShown, ())
{
    int const width = *rc::gen::inRange(1, 12), height = *rc::gen::inRange(1, 12);
    int const turns = *rc::gen::inRange(0, 4);
    bool const mirrored = *rc::gen::arbitrary<bool>();
    int const left = *rc::gen::inRange(0, width), top = *rc::gen::inRange(0, height);
    overlay::Bitmap upright{{left, top, width - left, height - top}, {}};
    for (std::uint32_t i = 1; i <= static_cast<std::uint32_t>((width - left) * (height - top)); ++i)
        upright.pixels.push_back(i);

    SizePx const size = turns % 2 == 1 ? SizePx{height, width} : SizePx{width, height};
    overlay::Bitmap const stored = orient_to_stored(upright, {turns, mirrored}, size);
    Grid const shown = show(paste(stored, size.width, size.height), turns, mirrored);
    RC_ASSERT(shown.width == width);
    RC_ASSERT(shown.at == paste(upright, width, height).at);
}

} // namespace
} // namespace tabard::pipeline
