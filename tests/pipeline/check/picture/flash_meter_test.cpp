#include "pipeline/check/picture/flash_meter.h"

#include <cmath>
#include <vector>

#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace tabard::pipeline {
namespace {

using testing::IsEmpty;
using testing::SizeIs;

/// The sRGB code of a linear part (IEC 61966-2-1).
float coded(double linear)
{
    return static_cast<float>(linear <= 0.0031308 ? linear * 12.92 : 1.055 * std::pow(linear, 1 / 2.4) - 0.055);
}
Rgb grey(double luminance) { return {coded(luminance), coded(luminance), coded(luminance)}; }

struct Block {
    int x = 0;
    int y = 0;
    int width = kGridSide;
    int height = kGridSide;
};

/// Four seconds of a film at 60 pictures a second that goes between two colours `flashes` times a second inside
/// `block`, on a grey that does not change.
std::vector<FlashSpan> spans_of(double flashes, Rgb one, Rgb other, Block block = {}, double seconds = 4)
{
    FlashMeter meter;
    for (int n = 0; n < static_cast<int>(60 * seconds); ++n) {
        RgbGrid picture;
        picture.fill(grey(0.18));
        bool const second_half = std::fmod(n / 60.0 * flashes + 1e-9, 1.0) >= 0.5;
        for (int y = block.y; y < block.y + block.height; ++y)
            for (int x = block.x; x < block.x + block.width; ++x)
                picture[static_cast<std::size_t>(y * kGridSide + x)] = second_half ? one : other;
        meter.add(from_frame(n, {60, 1}), picture);
    }
    return meter.spans();
}

Rgb const kBlack{0, 0, 0};
Rgb const kWhite{1, 1, 1};

// WCAG 2.x, 2.3.1: "three flashes or below" in any one second pass.
TEST(FlashMeter, PassesThreeFlashesASecondAndNotFour)
{
    EXPECT_THAT(spans_of(3, kBlack, kWhite), IsEmpty());
    EXPECT_THAT(spans_of(4, kBlack, kWhite), SizeIs(1));
    EXPECT_THAT(spans_of(25, kBlack, kWhite), SizeIs(1));
}

// WCAG 2.x, definition of general flash: opposing changes of 10 % or more of the maximum relative luminance.
TEST(FlashMeter, PassesChangesUnderATenthOfTheLightAndNotATenth)
{
    EXPECT_THAT(spans_of(10, grey(0.300), grey(0.395)), IsEmpty());
    EXPECT_THAT(spans_of(10, grey(0.300), grey(0.402)), SizeIs(1));
}

// The same definition: where the relative luminance of the darker image is below 0.80.
TEST(FlashMeter, PassesFlashesBetweenTwoBrightStates)
{
    EXPECT_THAT(spans_of(10, grey(0.81), grey(0.99)), IsEmpty());
    EXPECT_THAT(spans_of(10, grey(0.79), grey(0.99)), SizeIs(1));
}

// WCAG 2.x, general flash and red flash thresholds: no more than 25 % of any 10 degree visual field, 341 x 256 pixels
// of 1024 x 768: a third by a third. Here 16 x 16 cells, of which 64 may flash.
TEST(FlashMeter, PassesAQuarterOfAWindowAndNotMore)
{
    EXPECT_THAT(spans_of(10, kBlack, kWhite, {20, 20, 8, 8}), IsEmpty());
    EXPECT_THAT(spans_of(10, kBlack, kWhite, {20, 20, 13, 5}), SizeIs(1)); // 65 cells
    // As many cells, scattered over a band longer than any window, pass: 48 x 2 holds 32 in a window.
    EXPECT_THAT(spans_of(10, kBlack, kWhite, {0, 20, 48, 2}), IsEmpty());
}

// WCAG 2.x, red flash: R/(R+G+B) >= 0.8 in one state and a change of more than 0.2 in CIE 1976 u', v'. Red has u'
// 0.451, v' 0.523, white 0.198, 0.468: 0.26 apart. Both have the same luminance here, so no general flash.
TEST(FlashMeter, FindsSaturatedRedWhereTheLightStaysTheSame)
{
    auto const red = spans_of(4, {1, 0, 0}, grey(0.2126));
    ASSERT_THAT(red, SizeIs(1));
    EXPECT_TRUE(red[0].red);
    EXPECT_THAT(spans_of(3, {1, 0, 0}, grey(0.2126)), IsEmpty());
    // R/(R+G+B) = 1/1.4 = 0.71 is not saturated; luminance 0.2126 + 0.2 * (0.7152 + 0.0722) = 0.370.
    EXPECT_THAT(spans_of(4, {1, coded(0.2), coded(0.2)}, grey(0.370)), IsEmpty());
}

TEST(FlashMeter, SaysWhereInTheFilmAndHowMuchOfThePicture)
{
    auto const spans = spans_of(5, kBlack, kWhite, {0, 0, 24, 48});
    ASSERT_THAT(spans, SizeIs(1));
    EXPECT_EQ(spans[0].in, Time{0});
    EXPECT_NEAR(to_seconds(spans[0].out), 4, 0.02);
    EXPECT_DOUBLE_EQ(spans[0].share, 0.5);
}

/// Two seconds of pictures whose luminance at a cell and a time (in seconds) is `light`.
template <class Light>
std::vector<FlashSpan> spans_of_pictures(int rate, Light light)
{
    FlashMeter meter;
    for (int n = 0; n < 2 * rate; ++n) {
        RgbGrid picture;
        for (int y = 0; y < kGridSide; ++y)
            for (int x = 0; x < kGridSide; ++x)
                picture[static_cast<std::size_t>(y * kGridSide + x)] = grey(light(x, y, 1.0 * n / rate));
        meter.add(from_frame(n, {rate, 1}), picture);
    }
    return meter.spans();
}

/// 0 or 1 by turns over `period`.
double square(double place, double period) { return place / period - std::floor(place / period) < 0.5 ? 0 : 1; }

/// What a cell that begins at `left` sees of such stripes: the share of them that is 1.
double striped(double left, double period)
{
    double sum = 0;
    for (int i = 0; i < 8; ++i)
        sum += square(left + (i + 0.5) / 8, period);
    return sum / 8;
}

// WCAG 2.x counts flashes of an area: in a moving pattern as much becomes darker as becomes lighter, at any time. Cells
// see each of these go past five times a second.
TEST(FlashMeter, PassesPatternsThatMove)
{
    for (int const rate : {25, 60}) {
        for (double const period : {2.0, 2.7, 4.0, 10.0}) {
            SCOPED_TRACE(testing::Message() << rate << " a second, stripes of " << period << " cells");
            EXPECT_THAT(
                spans_of_pictures(
                    rate, [&](int x, int, double t) { return 0.1 + 0.6 * striped(x + t * 5 * period, period); }),
                IsEmpty());
            EXPECT_THAT(spans_of_pictures(rate,
                                          [&](int x, int y, double t) {
                                              double const a = striped(x + t * 5 * period, period);
                                              double const b = striped(y, period); // fields of a chessboard
                                              return 0.1 + 0.6 * (a * (1 - b) + b * (1 - a));
                                          }),
                        IsEmpty());
        }
    }
}

// A pan along a shelf: columns without order, twelve cells a second.
TEST(FlashMeter, PassesAPanOverAnUnevenWall)
{
    auto const wall = [](int x, int y) {
        unsigned mixed = static_cast<unsigned>(x + 48) * 7919U + static_cast<unsigned>(y) * 104729U;
        mixed = (mixed ^ mixed >> 13) * 2654435761U;
        return (mixed >> 24) / 255.0 * 0.8;
    };
    for (int const rate : {25, 60})
        EXPECT_THAT(spans_of_pictures(rate,
                                      [&](int x, int y, double t) {
                                          double const at = x + 12 * t;
                                          auto const first = static_cast<int>(std::floor(at));
                                          return wall(first, y) * (first + 1 - at) + wall(first + 1, y) * (at - first);
                                      }),
                    IsEmpty());
}

// The same number of changes, of an area: a quarter of the picture, half of it, a surface that is not even, a lamp that
// swells and fades, fields of a chessboard that change places (each a quarter of a window in width).
TEST(FlashMeter, FindsFlashesOfAnArea)
{
    constexpr double kPi = 3.14159265358979;
    for (int const rate : {25, 60}) {
        SCOPED_TRACE(rate);
        EXPECT_THAT(spans_of_pictures(rate,
                                      [](int x, int y, double t) {
                                          return x < 24 && y < 24 ? 0.1 + 0.5 * square(t + 1e-6, 0.2) : 0.2;
                                      }),
                    SizeIs(1));
        EXPECT_THAT(spans_of_pictures(rate,
                                      [](int x, int y, double t) {
                                          double const surface = ((x * 7 + y * 13) % 10 + 1) / 11.0;
                                          return surface * (0.2 + 0.7 * square(t + 1e-6, 0.2));
                                      }),
                    SizeIs(1));
        EXPECT_THAT(spans_of_pictures(rate,
                                      [](int x, int y, double t) {
                                          double const surface = ((x * 7 + y * 13) % 10 + 6) / 16.0;
                                          return x < 24 ? surface * (0.5 + 0.4 * std::sin(2 * kPi * 5 * t)) : 0.2;
                                      }),
                    SizeIs(1));
        EXPECT_THAT(spans_of_pictures(rate,
                                      [](int x, int y, double t) {
                                          bool const odd = (x / 4 + y / 4) % 2 != 0;
                                          return odd != (square(t + 1e-6, 0.2) > 0) ? 0.1 : 0.7;
                                      }),
                    SizeIs(1));
    }
}

/// The share of a cell's width, from `left` on, that lies in odd fields of such a width.
double odd_share(double left, double field) { return striped(left, 2 * field); }

// WCAG 2.x leaves out fine balanced patterns with squares under 0.1 degree alone. A cell is 10 degrees by 16: squares
// of 0.6, 0.9, 1.25 and 1.9 degrees change places here, five times there and back a second, and three times.
TEST(FlashMeter, FindsFieldsThatChangePlacesHoweverSmall)
{
    for (int const rate : {25, 30, 60}) {
        for (double const field : {1.0, 1.5, 2.0, 3.0}) {
            SCOPED_TRACE(testing::Message() << rate << " a second, fields of " << field << " cells");
            auto const swapping = [field](double flashes) {
                return [=](int x, int y, double t) {
                    double const a = odd_share(x, field);
                    double const b = odd_share(y, field);
                    double const odd = a * (1 - b) + b * (1 - a);
                    return 0.1 + 0.6 * (square(t + 1e-6, 1 / flashes) > 0 ? odd : 1 - odd);
                };
            };
            EXPECT_THAT(spans_of_pictures(rate, swapping(5)), SizeIs(1));
            EXPECT_THAT(spans_of_pictures(rate, swapping(3)), IsEmpty());
        }
    }
}

// WCAG 2.x and ITU-R BT.1702: the combined area of flashes that occur concurrently, against a quarter. Of a window's
// 256 cells, spots of two by two: 20 are 31 %, 12 are 19 %.
TEST(FlashMeter, AddsUpSpotsThatFlashTogether)
{
    auto const spots = [](int count) {
        return [count](int x, int y, double t) {
            bool const inside = x >= 16 && x < 31 && y >= 16 && y < 31 && x % 3 != 0 && y % 3 != 0;
            int const spot = (y - 16) / 3 * 5 + (x - 16) / 3;
            return inside && spot < count ? 0.1 + 0.5 * square(t + 1e-6, 0.2) : 0.2;
        };
    };
    EXPECT_THAT(spans_of_pictures(25, spots(20)), SizeIs(1));
    EXPECT_THAT(spans_of_pictures(25, spots(12)), IsEmpty());
}

TEST(FlashMeter, PassesOneCutAndASlowBreathingLight)
{
    EXPECT_THAT(spans_of(0.25, kBlack, kWhite), IsEmpty());
    EXPECT_THAT(spans_of(1, grey(0.1), grey(0.6)), IsEmpty());
}

} // namespace
} // namespace tabard::pipeline
