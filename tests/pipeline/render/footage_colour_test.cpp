#include "pipeline/render/footage_colour.h"

#include <gtest/gtest.h>

namespace tabard::pipeline {
namespace {

struct Bar {
    char const* name;
    int r, g, b;
    int bt601[3], bt709[3], bt2020[3];
};

// 8-bit limited range. The 601 columns are those of FFmpeg's pal100bars and pal75bars sources, the 709 ones of its
// smptehdbars; the 2020 ones follow from the coefficients of BT.2020-2 and agree with swscale (accurate_rnd).
constexpr Bar kFullBars[] = {
    {"white", 1, 1, 1, {235, 128, 128}, {235, 128, 128}, {235, 128, 128}},
    {"yellow", 1, 1, 0, {210, 16, 146}, {219, 16, 138}, {222, 16, 137}},
    {"cyan", 0, 1, 1, {170, 166, 16}, {188, 154, 16}, {177, 159, 16}},
    {"green", 0, 1, 0, {145, 54, 34}, {173, 42, 26}, {164, 47, 25}},
    {"magenta", 1, 0, 1, {106, 202, 222}, {78, 214, 230}, {87, 209, 231}},
    {"red", 1, 0, 0, {81, 90, 240}, {63, 102, 240}, {74, 97, 240}},
    {"blue", 0, 0, 1, {41, 240, 110}, {32, 240, 118}, {29, 240, 119}},
    {"black", 0, 0, 0, {16, 128, 128}, {16, 128, 128}, {16, 128, 128}},
};
constexpr Bar kThreeQuarterBars[] = {
    {"white", 1, 1, 1, {180, 128, 128}, {180, 128, 128}, {180, 128, 128}},
    {"yellow", 1, 1, 0, {162, 44, 142}, {168, 44, 136}, {171, 44, 135}},
    {"cyan", 0, 1, 1, {131, 156, 44}, {145, 147, 44}, {137, 151, 44}},
    {"green", 0, 1, 0, {112, 72, 58}, {133, 63, 52}, {127, 67, 51}},
    {"magenta", 1, 0, 1, {84, 184, 198}, {63, 193, 204}, {69, 189, 205}},
    {"red", 1, 0, 0, {65, 100, 212}, {51, 109, 212}, {59, 105, 212}},
    {"blue", 0, 0, 1, {35, 212, 114}, {28, 212, 120}, {26, 212, 121}},
};

// Half a code is rounding. The tables of 75 % bars were made from 8-bit colours (191 of 255 is 74.9 %): one code.
void expect_bar(Bar const& bar, double level, double tolerance)
{
    SCOPED_TRACE(bar.name);
    auto const check = [&](Matrix matrix, int const(&expected)[3]) {
        YCbCr const got = OverlayColour({matrix}, 8).convert({bar.r * level, bar.g * level, bar.b * level});
        for (std::size_t i = 0; i < 3; ++i)
            EXPECT_NEAR(got[i], expected[i], tolerance) << "matrix " << static_cast<int>(matrix) << " sample " << i;
    };
    check(Matrix::bt601, bar.bt601);
    check(Matrix::bt709, bar.bt709);
    check(Matrix::bt2020, bar.bt2020);
}

TEST(OverlayColour, GivesTheFullColourBarsOfEachMatrix)
{
    for (Bar const& bar : kFullBars)
        expect_bar(bar, 1.0, 0.501);
}

TEST(OverlayColour, GivesTheThreeQuarterColourBarsOfEachMatrix)
{
    for (Bar const& bar : kThreeQuarterBars)
        expect_bar(bar, 191.0 / 255, 1.0);
}

// BT.2100-2 table 9: narrow range 10 bit is 64..940 and 64..960 round 512; full range 0..1023.
TEST(OverlayColour, ScalesToTenBitsAndFullRange)
{
    ColourTags tags{Matrix::bt709, Range::limited};
    EXPECT_NEAR(OverlayColour(tags, 10).convert({1, 1, 1})[0], 940, 1e-9);
    EXPECT_NEAR(OverlayColour(tags, 10).convert({0, 0, 0})[0], 64, 1e-9);
    EXPECT_NEAR(OverlayColour(tags, 10).convert({0, 0, 1})[1], 960, 1e-9);
    tags.range = Range::full;
    EXPECT_NEAR(OverlayColour(tags, 10).convert({1, 1, 1})[0], 1023, 1e-9);
    EXPECT_NEAR(OverlayColour(tags, 8).convert({1, 1, 1})[0], 255, 1e-9);
    EXPECT_NEAR(OverlayColour(tags, 8).convert({0, 0, 0})[0], 0, 1e-9);
    EXPECT_NEAR(OverlayColour(tags, 8).convert({0.5, 0.5, 0.5})[1], 128, 1e-9);
    // JFIF: Cr = 0.5 R - ... + 128 of red is 255.5, held at the largest code.
    EXPECT_NEAR(OverlayColour(tags, 8).convert_premultiplied(0xffff0000)[2], 255, 1e-9);
}

// Values of BT.2100-2's formulas; 203 cd/m2 at 58 % PQ and 75 % HLG are those that BT.2408 names for graphics white.
TEST(TransferFunctions, PutGraphicsWhiteWhereBt2408SaysIt)
{
    EXPECT_NEAR(pq_signal(203), 0.5807, 0.00005);
    EXPECT_NEAR(pq_signal(100), 0.5081, 0.00005);
    EXPECT_NEAR(pq_signal(1000), 0.7518, 0.00005);
    EXPECT_NEAR(pq_signal(10'000), 1, 1e-12);
    EXPECT_NEAR(hlg_signal(1.0 / 12), 0.5, 1e-12); // BT.2100-2 table 5: the two branches meet at 1/2
    EXPECT_NEAR(hlg_signal(1), 1, 1e-6);

    ColourTags tags{Matrix::bt2020, Range::limited, Transfer::pq, true};
    EXPECT_NEAR(OverlayColour(tags, 10).convert({1, 1, 1})[0], 573, 0.5);
    tags.transfer = Transfer::hlg;
    EXPECT_NEAR(OverlayColour(tags, 10).convert({1, 1, 1})[0], 721, 0.5);
    for (std::size_t chroma : {1u, 2u}) // white has no colour in any system
        EXPECT_NEAR(OverlayColour(tags, 10).convert({1, 1, 1})[chroma], 512, 0.1);
}

TEST(OverlayColour, KeepsGreyGreyAndRedLessThanPureInAWiderGamut)
{
    ColourTags const tags{Matrix::bt2020, Range::limited, Transfer::sdr, true};
    YCbCr const grey = OverlayColour(tags, 8).convert({0.5, 0.5, 0.5});
    EXPECT_NEAR(grey[0], 16 + 219 * 0.5, 0.01);
    EXPECT_NEAR(grey[1], 128, 0.05);
    // BT.2087-0: red of BT.709 is (0.6274, 0.0691, 0.0164) in linear BT.2020 light. Through the sRGB curve (IEC
    // 61966-2-1) that is (0.8118, 0.2911, 0.1351); Cr = (0.8118 - Y') / 1.4746 with Y' = 0.4186.
    YCbCr const red = OverlayColour(tags, 8).convert({1, 0, 0});
    EXPECT_NEAR(red[0], 16 + 219 * 0.4186, 0.2);
    EXPECT_NEAR(red[2], 128 + 224 * (0.8118 - 0.4186) / 1.4746, 0.2);
}

TEST(OverlayColour, PremultipliesAfterConvertingSoThatClearPixelsAddNothing)
{
    OverlayColour colour({Matrix::bt709}, 8);
    EXPECT_EQ(colour.convert_premultiplied(0), (YCbCr{0, 0, 0}));
    YCbCr const white = colour.convert_premultiplied(0x80808080); // white at 128/255
    EXPECT_NEAR(white[0], 235 * 128.0 / 255, 1e-9);
    EXPECT_NEAR(white[1], 128 * 128.0 / 255, 1e-9);
}

} // namespace
} // namespace tabard::pipeline
