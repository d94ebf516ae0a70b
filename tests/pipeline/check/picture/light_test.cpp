#include "pipeline/check/picture/light.h"

#include <gtest/gtest.h>

namespace tabard::pipeline {
namespace {

// Code values of 100 % bars, 8 bits limited range: ITU-R BT.601 (red 81 90 240), BT.709 (red 63 102 240, green 173 42
// 26), BT.2020 (red 74 97 240).
TEST(Light, ReadsTheColourBarsOfEachMatrix)
{
    struct Bar {
        Cell cell;
        Matrix matrix;
        Rgb colour;
    };
    for (auto const& bar : {Bar{{81, 90, 240}, Matrix::bt601, {1, 0, 0}}, Bar{{63, 102, 240}, Matrix::bt709, {1, 0, 0}},
                            Bar{{173, 42, 26}, Matrix::bt709, {0, 1, 0}}, Bar{{74, 97, 240}, Matrix::bt2020, {1, 0, 0}},
                            Bar{{235, 128, 128}, Matrix::bt709, {1, 1, 1}}}) {
        auto const shown = displayed(bar.cell, {.matrix = bar.matrix});
        EXPECT_NEAR(shown.red, bar.colour.red, 0.01);
        EXPECT_NEAR(shown.green, bar.colour.green, 0.01);
        EXPECT_NEAR(shown.blue, bar.colour.blue, 0.01);
    }
}

// WCAG 2.x relative luminance: the weights of the linear parts; #777777 on white is 4.48:1, so its luminance is
// 1.05 / 4.4781 - 0.05 = 0.18447.
TEST(Light, LuminanceIsThatOfTheWebGuidelines)
{
    EXPECT_NEAR(luminance({1, 0, 0}), 0.2126, 1e-4);
    EXPECT_NEAR(luminance({0, 1, 0}), 0.7152, 1e-4);
    float const grey = 0x77 / 255.0F;
    EXPECT_NEAR(luminance({grey, grey, grey}), 0.18447, 1e-3);
}

// Report ITU-R BT.2408: graphics white is 203 cd/m2, 58 % of PQ; 10-bit narrow 573, here 573 / 4.
TEST(Light, GraphicsWhiteOfPqIsWhite)
{
    ColourTags const pq{.matrix = Matrix::bt2020, .transfer = Transfer::pq};
    EXPECT_NEAR(displayed(Cell{573 / 4.0F, 128, 128}, pq).green, 1, 0.01);
    // 100 cd/m2 is PQ 0.5081 (BT.2100), 10-bit 64 + 876 * 0.5081 = 509: half the light, sRGB code 0.73.
    EXPECT_NEAR(luminance(displayed(Cell{509 / 4.0F, 128, 128}, pq)), 100.0 / 203, 0.01);
}

} // namespace
} // namespace tabard::pipeline
