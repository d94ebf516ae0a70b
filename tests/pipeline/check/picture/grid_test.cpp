#include "pipeline/check/picture/grid.h"

#include <vector>

#include <gtest/gtest.h>

namespace tabard::pipeline {
namespace {

/// A picture of one colour with a bright block in its stored top-left sixth.
template <class Sample>
struct Picture {
    static constexpr int kWidth = 192;
    static constexpr int kHeight = 96;
    std::vector<Sample> luma = std::vector<Sample>(kWidth * kHeight, 50 * (sizeof(Sample) == 2 ? 4 : 1));
    std::vector<Sample> chroma = std::vector<Sample>(kWidth * kHeight / 4, 128 * (sizeof(Sample) == 2 ? 4 : 1));

    Picture()
    {
        for (int y = 0; y < kHeight / 6; ++y)
            for (int x = 0; x < kWidth / 6; ++x)
                luma[static_cast<std::size_t>(y * kWidth + x)] = 200 * (sizeof(Sample) == 2 ? 4 : 1);
    }
    PictureView view()
    {
        auto const plane = [](std::vector<Sample>& samples, int width, int height) {
            return PlaneView{reinterpret_cast<std::byte*>(samples.data()),
                             static_cast<std::ptrdiff_t>(width * sizeof(Sample)), width, height};
        };
        return {{plane(luma, kWidth, kHeight), plane(chroma, kWidth / 2, kHeight / 2),
                 plane(chroma, kWidth / 2, kHeight / 2)},
                {.bit_depth = sizeof(Sample) == 2 ? 10 : 8}};
    }
};

float luma_at(Grid const& grid, int x, int y) { return grid[static_cast<std::size_t>(y * kGridSide + x)].luma; }

TEST(Grid, IsThePictureInFortyEightByFortyEightMeans)
{
    Picture<std::uint8_t> picture;
    auto const grid = measure_grid(picture.view(), {});
    EXPECT_FLOAT_EQ(luma_at(grid, 0, 0), 200);
    EXPECT_FLOAT_EQ(luma_at(grid, 7, 7), 200); // a sixth of 48 cells is 8
    EXPECT_FLOAT_EQ(luma_at(grid, 8, 7), 50);
    EXPECT_FLOAT_EQ(luma_at(grid, 7, 8), 50);
    EXPECT_FLOAT_EQ(grid[0].blue, 128);
}

TEST(Grid, IsAsDisplayedWhenTheFootageIsTurnedOrMirrored)
{
    Picture<std::uint8_t> picture;
    // Turned clockwise by 90 degrees, the stored top-left corner is shown top right; mirrored likewise.
    EXPECT_FLOAT_EQ(luma_at(measure_grid(picture.view(), {1, false}), 47, 0), 200);
    EXPECT_FLOAT_EQ(luma_at(measure_grid(picture.view(), {1, false}), 0, 0), 50);
    EXPECT_FLOAT_EQ(luma_at(measure_grid(picture.view(), {2, false}), 47, 47), 200);
    EXPECT_FLOAT_EQ(luma_at(measure_grid(picture.view(), {3, false}), 0, 47), 200);
    EXPECT_FLOAT_EQ(luma_at(measure_grid(picture.view(), {0, true}), 47, 0), 200);
}

// A cell is four samples wide and two high here. A stroke one sample wide is lost in its mean and kept in its range.
TEST(Grid, RangesKeepAStrokeThatTheMeanLoses)
{
    Picture<std::uint8_t> picture;
    for (int y = 40; y < 42; ++y)
        picture.luma[static_cast<std::size_t>(y * picture.kWidth + 81)] = 10;
    auto const cell = static_cast<std::size_t>(20 * kGridSide + 20);
    EXPECT_FLOAT_EQ(measure_grid(picture.view(), {})[cell].luma, 40); // (10 + 50 + 50 + 50) / 4
    auto const range = measure_ranges(picture.view(), {})[cell];
    EXPECT_FLOAT_EQ(range.darkest, 10);
    EXPECT_FLOAT_EQ(range.lightest, 50);
    // Turned by 180 degrees it is seen 20 cells from the other corner.
    EXPECT_FLOAT_EQ(measure_ranges(picture.view(), {2, false})[27 * kGridSide + 27].darkest, 10);
}

TEST(Grid, TenBitsGiveTheSameNumbersAsEight)
{
    Picture<std::uint8_t> eight;
    Picture<std::uint16_t> ten;
    auto const a = measure_grid(eight.view(), {});
    auto const b = measure_grid(ten.view(), {});
    for (std::size_t i = 0; i < a.size(); ++i) {
        EXPECT_FLOAT_EQ(a[i].luma, b[i].luma);
        EXPECT_FLOAT_EQ(a[i].red, b[i].red);
    }
}

} // namespace
} // namespace tabard::pipeline
