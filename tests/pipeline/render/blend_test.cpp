#include "pipeline/render/blend.h"
#include "tests/pipeline/render/picture_for_test.h"

#include <array>
#include <vector>

#include <cairo.h>
#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

namespace tabard::pipeline {
namespace {

using overlay::kFullLevel;

// An overlay whose three planes hold given straight sample values, to check the arithmetic of blending alone.
OverlayPlanes flat_planes(PixelLayout layout, std::array<int, 3> values, double alpha, int width, int height)
{
    OverlayPlanes planes{layout, {0, 0, width, height}, {0, 0, width, height}, {}, {}, {}, {}, {}};
    auto const count = static_cast<std::size_t>(width * height);
    auto const colour = [&](int value) {
        return std::vector<std::uint16_t>(
            count, static_cast<std::uint16_t>(std::lround(value * alpha * (65536 >> layout.bit_depth))));
    };
    std::vector<std::uint16_t> const cover(count, static_cast<std::uint16_t>(std::lround(alpha * 0xffff)));
    planes.luma = colour(values[0]), planes.blue = colour(values[1]), planes.red = colour(values[2]);
    planes.luma_alpha = planes.chroma_alpha = cover;
    return planes;
}

PixelLayout const k444{8, 0, 0};

// Porter and Duff 1984, "over", by hand: 200 * 128/255 + 10 * 127/255 = 105.37; 100 and 20: 60.16; 50 and 30: 40.04.
TEST(Blend, GivesTheWorkedValuesOfOver)
{
    OwnedPicture picture(33, 3, k444);
    picture.fill(10, 20, 30);
    blend(picture.view(), flat_planes(k444, {200, 100, 50}, 128.0 / 255, 33, 3));
    for (int x = 0; x < 33; ++x) { // all lanes and the tail of the vector loop
        EXPECT_EQ(picture.get(0, x, 1), 105);
        EXPECT_EQ(picture.get(1, x, 1), 60);
        EXPECT_EQ(picture.get(2, x, 1), 40);
    }
}

TEST(Blend, GivesTheWorkedValuesOfOverInTenBits)
{
    PixelLayout const layout{10, 0, 0};
    OwnedPicture picture(33, 3, layout);
    picture.fill(40, 80, 120);
    blend(picture.view(), flat_planes(layout, {800, 400, 200}, 128.0 / 255, 33, 3));
    EXPECT_EQ(picture.get(0, 32, 2), 421); // four times 105.37 is 421.49
    EXPECT_EQ(picture.get(1, 32, 2), 241); // 240.63
    EXPECT_EQ(picture.get(2, 32, 2), 160); // 160.16
}

TEST(Blend, MatchesCairoWithinOneCodeForAnyColourOverAnyOther)
{
    for (int alpha : {0, 1, 2, 3, 17, 64, 127, 128, 200, 254, 255}) {
        for (int value = 0; value < 256; value += 15) {
            std::uint32_t const source = premultiplied(value, 255 - value, value / 2, alpha);
            std::uint32_t under = 0xff204080;
            cairo_surface_t* const to = cairo_image_surface_create_for_data(reinterpret_cast<unsigned char*>(&under),
                                                                            CAIRO_FORMAT_ARGB32, 1, 1, 4);
            std::uint32_t copy = source;
            cairo_surface_t* const from = cairo_image_surface_create_for_data(reinterpret_cast<unsigned char*>(&copy),
                                                                              CAIRO_FORMAT_ARGB32, 1, 1, 4);
            cairo_t* const context = cairo_create(to);
            cairo_set_source_surface(context, from, 0, 0);
            cairo_paint(context);
            cairo_destroy(context);
            cairo_surface_destroy(from);
            cairo_surface_destroy(to);

            OwnedPicture picture(1, 1, k444);
            picture.fill(0x20, 0x40, 0x80);
            OverlayPlanes planes = flat_planes(k444, {0, 0, 0}, alpha / 255.0, 1, 1);
            planes.luma[0] = static_cast<std::uint16_t>((source >> 16 & 0xff) << 8);
            planes.blue[0] = static_cast<std::uint16_t>((source >> 8 & 0xff) << 8);
            planes.red[0] = static_cast<std::uint16_t>((source & 0xff) << 8);
            blend(picture.view(), planes);
            EXPECT_NEAR(picture.get(0, 0, 0), static_cast<int>(under >> 16 & 0xff), 1);
            EXPECT_NEAR(picture.get(1, 0, 0), static_cast<int>(under >> 8 & 0xff), 1);
            EXPECT_NEAR(picture.get(2, 0, 0), static_cast<int>(under & 0xff), 1);
        }
    }
}

// The definition in doubles, for any sample, colour, alpha and level, at the bounds of every integer in the loop.
RC_GTEST_PROP(Blend, IsTheDefinitionOfOverToHalfACode, ())
{
    int const depth = *rc::gen::element(8, 10);
    int const largest = (1 << depth) - 1;
    auto const code = rc::gen::oneOf(rc::gen::inRange(0, largest + 1), rc::gen::element(0, largest));
    int const under = *code, value = *code;
    double const alpha = *rc::gen::oneOf(rc::gen::inRange(0, 256), rc::gen::element(0, 255)) / 255.0;
    int const level = *rc::gen::inRange(0, kFullLevel + 1);
    PixelLayout const layout{depth, 0, 0};
    OwnedPicture picture(19, 1, layout);
    picture.fill(under, under, under);
    blend(picture.view(), flat_planes(layout, {value, value, value}, alpha, 19, 1), level);
    double const cover = alpha * level / kFullLevel;
    double const expected = value * cover + under * (1 - cover);
    for (std::size_t plane = 0; plane < 3; ++plane)
        for (int x = 0; x < 19; ++x)
            RC_ASSERT(std::abs(picture.get(plane, x, 0) - expected) <= 0.56);
    if (level == 0 || alpha == 0)
        RC_ASSERT(picture.get(0, 0, 0) == under);
}

TEST(Blend, LeavesEverySampleOutsideItsRectangleAndUnderClearPixelsAsItWas)
{
    for (PixelLayout const layout :
         {PixelLayout{8, 1, 1}, PixelLayout{10, 1, 1}, PixelLayout{8, 1, 0}, PixelLayout{10, 0, 0}}) {
        OwnedPicture before(97, 61, layout);
        unsigned noise = 1;
        for (std::size_t plane = 0; plane < 3; ++plane)
            for (int y = 0; y < before.height(plane); ++y)
                for (int x = 0; x < before.width(plane); ++x)
                    before.set(plane, x, y,
                               static_cast<int>((noise = noise * 1664525u + 1013904223u) >> 16) &
                                   ((1 << layout.bit_depth) - 1));
        OwnedPicture after = before;
        overlay::Bitmap bitmap = flat_bitmap({21, 13, 30, 20}, 0xffff8000);
        bitmap.pixels[0] = 0;
        OverlayColour colour({Matrix::bt709}, layout.bit_depth);
        blend(after.view(), make_overlay_planes(bitmap, 97, 61, layout, colour));
        int changed = 0;
        for (std::size_t plane = 0; plane < 3; ++plane) {
            int const shift_x = plane == 0 ? 0 : layout.chroma_shift_x,
                      shift_y = plane == 0 ? 0 : layout.chroma_shift_y;
            for (int y = 0; y < before.height(plane); ++y) {
                for (int x = 0; x < before.width(plane); ++x) {
                    bool const inside =
                        x >= 21 >> shift_x && x <= 50 >> shift_x && y >= 13 >> shift_y && y <= 32 >> shift_y;
                    if (!inside || (plane == 0 && x == 21 && y == 13)) {
                        ASSERT_EQ(after.get(plane, x, y), before.get(plane, x, y));
                    }
                    changed += after.get(plane, x, y) != before.get(plane, x, y);
                }
            }
        }
        EXPECT_GT(changed, 30 * 20); // and the inside did change
    }
}

} // namespace
} // namespace tabard::pipeline
