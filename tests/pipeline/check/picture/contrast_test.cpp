#include "overlay/drawing/layout.h"
#include "pipeline/check/picture/contrast.h"

#include <gtest/gtest.h>

namespace tabard::pipeline {
namespace {

constexpr overlay::Colour kWhite{255, 255, 255};

/// Text of one colour straight on the footage.
overlay::Theme glass(overlay::Colour text)
{
    overlay::Theme theme;
    theme.card = {0, 0, 0, 0};
    theme.ink = theme.soft_ink = text;
    return theme;
}

overlay::Scene const kWords{{{overlay::TextCard{"A few words"}}}};

Grounds plain(overlay::Colour colour)
{
    Grounds result;
    result.fill({colour, colour, colour});
    return result;
}

double lowest(overlay::Theme const& theme, Grounds const& footage, overlay::Scene const& scene = kWords)
{
    return ContrastMeter::create({}, theme)->lowest(scene, footage).value_or(-1);
}

struct Pair {
    overlay::Colour text;
    overlay::Colour footage;
    double ratio;
};
// WCAG 2.x, definition of contrast ratio, by the formula there; #767676 and #777777 are the greys either side of 4.5:1.
constexpr Pair kPairs[] = {
    {kWhite, {0, 0, 0}, 21},          {kWhite, {0x76, 0x76, 0x76}, 4.5422}, {kWhite, {0x77, 0x77, 0x77}, 4.4781},
    {{0, 0, 0}, {255, 0, 0}, 5.2520}, {{255, 255, 0}, {0, 0, 0}, 19.556},
};

TEST(ContrastMeter, FindsTheContrastOfTheAccessibilityGuidelines)
{
    for (auto const& [text, footage, ratio] : kPairs)
        EXPECT_NEAR(lowest(glass(text), plain(footage)), ratio, 0.001);
}

// Half of white over black is #808080 (255 * 128 / 255): 5.3172:1 to black by the same formula.
TEST(ContrastMeter, LooksThroughTheCardAtTheFootage)
{
    overlay::Theme half = glass({0, 0, 0});
    half.card = {255, 255, 255, 128};
    EXPECT_NEAR(lowest(half, plain({0, 0, 0})), 5.3172, 0.001);
    EXPECT_NEAR(lowest(half, plain(kWhite)), 21, 1e-9);
}

TEST(ContrastMeter, TakesTheWorstSpotThatIsUnderTextAndNoOther)
{
    overlay::Box const region = overlay::make_layout({}).text;
    auto const inside = [&](int x, int y) {
        return region.contains(
            {x * 1920.0 / kGridSide, y * 1080.0 / kGridSide, 1920.0 / kGridSide, 1080.0 / kGridSide});
    };
    Grounds beside = plain({0, 0, 0});
    Grounds under = plain({0, 0, 0});
    for (int y = 0; y < kGridSide; ++y)
        for (int x = 0; x < kGridSide; ++x) {
            auto const cell = static_cast<std::size_t>(y * kGridSide + x);
            (inside(x, y) ? under : beside)[cell][2] = {0x77, 0x77, 0x77}; // a light spot in the cell
        }
    EXPECT_NEAR(lowest(glass(kWhite), under), 4.4781, 0.001);
    EXPECT_GT(lowest(glass(kWhite), beside), 4.4782);
    EXPECT_EQ(lowest(glass(kWhite), plain(kWhite), {}), -1) << "no text, no contrast";
}

// What fades in is measured as it will be; a capo sign counts as ink, a banner's accent does not.
TEST(ContrastMeter, MeasuresWhatFadesAsIfItWereThere)
{
    auto fading = kWords;
    fading.layers[0].level = 1;
    EXPECT_NEAR(lowest(glass(kWhite), plain({0x77, 0x77, 0x77}), fading), 4.4781, 0.001);
}

TEST(Grounds, KeepTheDarkestAndTheLightestSpotOfACell)
{
    Grid means;
    means.fill({100, 128, 128});
    RangeGrid ranges;
    ranges.fill({16, 235});
    auto const seen = grounds(means, ranges, {});
    EXPECT_EQ(seen[0][0], (overlay::Colour{0, 0, 0}));
    EXPECT_EQ(seen[0][2], kWhite);
    // Limited range, ITU-R BT.709: (100 - 16) / 219 * 255 = 97.8.
    EXPECT_EQ(seen[0][1], (overlay::Colour{98, 98, 98}));
}

} // namespace
} // namespace tabard::pipeline
