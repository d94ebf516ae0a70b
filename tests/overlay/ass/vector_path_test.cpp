#include "overlay/ass/vector_path.h"

#include <gtest/gtest.h>

namespace tabard::overlay {
namespace {

VectorPath square(int left, int top, int side)
{
    VectorPath path;
    path.move({left, top});
    path.line({left + side, top});
    path.line({left + side, top + side});
    path.line({left, top + side});
    return path;
}

// The commands as the format has them: a letter, then pairs of numbers; a letter that goes on is not said again.
TEST(VectorPath, IsWrittenAsDrawingCommandsFromItsOwnCorner)
{
    VectorPath path = square(16, 32, 8);
    path.curve({16, 30}, {20, 30}, {24, 32});
    EXPECT_EQ(drawing_commands(path, {16, 32}), "m 0 0 l 8 0 8 8 0 8 b 0 -2 4 -2 8 0");
    path.append(square(0, 0, 1));
    EXPECT_EQ(drawing_commands(path, {0, 0}), "m 16 32 l 24 32 24 40 16 40 b 16 30 20 30 24 32 m 0 0 l 1 0 1 1 0 1");
}

TEST(VectorPath, TurnedRoundCoversTheSameTheOtherWay)
{
    VectorPath const path = square(3, 4, 10);
    EXPECT_EQ(signed_area(path), 200); // twice ten by ten; clockwise where y runs down
    EXPECT_EQ(signed_area(reversed(path)), -200);
    EXPECT_EQ(bounds_of(reversed(path)), bounds_of(path));
    EXPECT_EQ(reversed(reversed(path)), path);
}

TEST(VectorPath, CoversWhatLiesWhollyInsideAConvexOutline)
{
    VectorPath const plate = square(0, 0, 100);
    EXPECT_TRUE(covers(plate, {{0, 0}, {100, 100}}));
    EXPECT_TRUE(covers(reversed(plate), {{10, 10}, {20, 20}}));
    EXPECT_FALSE(covers(plate, {{10, 10}, {20, 101}}));
    VectorPath ring = plate;
    ring.append(reversed(square(40, 40, 20)));
    EXPECT_FALSE(covers(ring, {{45, 45}, {50, 50}})); // in its hole
    VectorPath corner = plate;                        // an L: the upper right quarter is not in it
    corner.points[1] = {50, 0};
    corner.points[2] = {50, 50};
    corner.points[3] = {100, 50};
    corner.line({100, 100});
    corner.line({0, 100});
    EXPECT_FALSE(covers(corner, {{60, 10}, {70, 20}}));
    EXPECT_FALSE(covers({}, {{0, 0}, {1, 1}}));
}

} // namespace
} // namespace tabard::overlay
