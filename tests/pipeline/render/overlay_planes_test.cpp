#include "pipeline/render/overlay_planes.h"
#include "tests/pipeline/render/picture_for_test.h"

#include <vector>

#include <gtest/gtest.h>

namespace tabard::pipeline {
namespace {

PixelLayout const k420{8, 1, 1};

TEST(OverlayPlanes, AverageAlphaOverThePixelsOfEachChromaSample)
{
    // One opaque red pixel in a block of four: a quarter of the cover, a quarter of the colour.
    OverlayColour colour({Matrix::bt601}, 8);
    OverlayPlanes const planes = make_overlay_planes(flat_bitmap({5, 3, 1, 1}, 0xffff0000), 16, 16, k420, colour);
    EXPECT_EQ(planes.luma_at, (overlay::RectPx{4, 2, 2, 2}));
    EXPECT_EQ(planes.chroma_at, (overlay::RectPx{2, 1, 1, 1}));
    EXPECT_EQ(planes.luma_alpha, (std::vector<std::uint16_t>{0, 0, 0, 0xffff}));
    EXPECT_NEAR(planes.chroma_alpha[0], 0xffff / 4.0, 1);
    EXPECT_NEAR(planes.red[0], 240 * 256 / 4.0, 1); // Cr of 100 % red is 240 (BT.601-7)
}

TEST(OverlayPlanes, AverageOnlyOverPixelsThatExistAtTheEdgeOfAnOddPicture)
{
    OverlayColour colour({Matrix::bt601}, 8);
    OverlayPlanes const planes = make_overlay_planes(flat_bitmap({6, 4, 1, 1}, 0xff00ff00), 7, 5, k420, colour);
    EXPECT_EQ(planes.luma_at, (overlay::RectPx{6, 4, 1, 1}));
    EXPECT_EQ(planes.chroma_at, (overlay::RectPx{3, 2, 1, 1}));
    EXPECT_EQ(planes.chroma_alpha[0], 0xffff);
}

TEST(OverlayPlanes, CutOffWhatLiesOutsideThePicture)
{
    OverlayColour colour({Matrix::bt709}, 8);
    auto const make = [&](overlay::RectPx at) {
        return make_overlay_planes(flat_bitmap(at, 0xffffffff), 64, 48, k420, colour);
    };
    EXPECT_EQ(make({-10, -10, 20, 20}).luma_at, (overlay::RectPx{0, 0, 10, 10}));
    EXPECT_EQ(make({60, 40, 20, 20}).luma_at, (overlay::RectPx{60, 40, 4, 8}));
    EXPECT_TRUE(make({64, 0, 5, 5}).empty());
    EXPECT_TRUE(make({-5, 0, 5, 5}).empty());
    EXPECT_TRUE(make({0, 0, 0, 0}).empty());
    EXPECT_FALSE(make({63, 47, 5, 5}).empty());
}

} // namespace
} // namespace tabard::pipeline
