#include "pipeline/media/orientation.h"

#include <array>

#include <gtest/gtest.h>

namespace tabard::pipeline {
namespace {

constexpr std::int32_t kOne = 1 << 16;

struct Row {
    char const* source;
    std::array<std::int32_t, 9> matrix;
    Orientation expected;
    PointPx corner; ///< where the stored sample (0, 0) of a 4 x 3 picture is shown
};

// ISO/IEC 14496-12 track header: a stored point (x, y) is shown at (a x + c y + tx, b x + d y + ty), y down. The corner
// follows from that by hand, with tx, ty such that the shown picture begins at (0, 0).
constexpr Row kRows[] = {
    {"as stored", {kOne, 0, 0, 0, kOne, 0, 0, 0, 1 << 30}, {0, false}, {0, 0}},
    {"quarter turn clockwise: x' = 2 - y, y' = x", {0, kOne, 0, -kOne, 0, 0, 0, 0, 1 << 30}, {1, false}, {2, 0}},
    {"half turn: x' = 3 - x, y' = 2 - y", {-kOne, 0, 0, 0, -kOne, 0, 0, 0, 1 << 30}, {2, false}, {3, 2}},
    {"quarter turn back: x' = y, y' = 3 - x", {0, -kOne, 0, kOne, 0, 0, 0, 0, 1 << 30}, {3, false}, {0, 3}},
    {"left to right: x' = 3 - x", {-kOne, 0, 0, 0, kOne, 0, 0, 0, 1 << 30}, {0, true}, {3, 0}},
    {"upside down: y' = 2 - y", {kOne, 0, 0, 0, -kOne, 0, 0, 0, 1 << 30}, {2, true}, {0, 2}},
    {"transposed: x' = y, y' = x", {0, kOne, 0, kOne, 0, 0, 0, 0, 1 << 30}, {3, true}, {0, 0}},
    {"anti-transposed: x' = 2 - y, y' = 3 - x", {0, -kOne, 0, -kOne, 0, 0, 0, 0, 1 << 30}, {1, true}, {2, 3}},
};

TEST(Orientation, ReadsAllEightWaysATrackHeaderCanTurnAndMirrorAPicture)
{
    for (Row const& row : kRows) {
        SCOPED_TRACE(row.source);
        auto const found = Orientation::from_matrix(row.matrix);
        ASSERT_TRUE(found.has_value());
        EXPECT_EQ(*found, row.expected);
        EXPECT_EQ(found->shown_at({0, 0}, {4, 3}), row.corner);
    }
}

TEST(Orientation, FindsTheStoredSampleOfEveryShownOne)
{
    SizePx const stored{5, 3};
    for (Row const& row : kRows) {
        SCOPED_TRACE(row.source);
        SizePx const shown = row.expected.shown_size(stored);
        for (int y = 0; y < stored.height; ++y)
            for (int x = 0; x < stored.width; ++x) {
                PointPx const at = row.expected.shown_at({x, y}, stored);
                EXPECT_TRUE(at.x >= 0 && at.x < shown.width && at.y >= 0 && at.y < shown.height);
                EXPECT_EQ(row.expected.stored_at(at, stored), (PointPx{x, y}));
            }
    }
}

TEST(Orientation, RefusesATiltThatIsNoQuarterTurn)
{
    EXPECT_FALSE(Orientation::from_matrix({46341, 46341, 0, -46341, 46341, 0, 0, 0, 1 << 30})); // 45 degrees
    EXPECT_FALSE(Orientation::from_matrix({}));
}

} // namespace
} // namespace tabard::pipeline
