#include "overlay/drawing/colour.h"

#include <gtest/gtest.h>

namespace tabard::overlay {
namespace {

struct Pair {
    char const* a;
    char const* b;
    double ratio;
};

// WCAG 2.x, definition of contrast ratio; each value computed with NumPy from the formula there, to four decimals.
// White on black is 21 by definition; #767676 and #777777 are the well-known greys either side of 4.5:1.
constexpr Pair kPairs[] = {
    {"#000000", "#FFFFFF", 21.0},   {"#777777", "#FFFFFF", 4.4781}, {"#767676", "#FFFFFF", 4.5422},
    {"#949494", "#FFFFFF", 3.0335}, {"#595959", "#FFFFFF", 7.0047}, {"#FF0000", "#FFFFFF", 3.9985},
    {"#FF0000", "#000000", 5.2520}, {"#0000FF", "#FFFFFF", 8.5925}, {"#FFFF00", "#000000", 19.556},
};

TEST(Contrast, IsThatOfTheAccessibilityGuidelines)
{
    for (auto const& pair : kPairs) {
        SCOPED_TRACE(pair.a);
        Colour const a = *parse_colour(pair.a);
        Colour const b = *parse_colour(pair.b);
        EXPECT_NEAR(contrast_ratio(a, b), pair.ratio, 0.0006);
        EXPECT_EQ(contrast_ratio(a, b), contrast_ratio(b, a));
    }
}

TEST(Colour, ReadsSixAndEightHexDigits)
{
    EXPECT_EQ(*parse_colour("#0072B2"), (Colour{0, 114, 178, 255})); // Okabe & Ito's blue, given there in decimal too
    EXPECT_EQ(*parse_colour("#0072b280"), (Colour{0, 114, 178, 128}));
}

TEST(Colour, RefusesWhatIsNoColour)
{
    for (char const* text :
         {"", "#", "blue", "0072B2", "#0072B", "#0072B2F", "#00 2B2", "#+172B2", "#GG72B2", "#0072B2FFF"})
        EXPECT_FALSE(parse_colour(text)) << text;
}

TEST(Colour, LaidOverAnotherMixesByAlpha)
{
    // Porter & Duff 1984, over: 200*128/255 + 10*127/255 = 105.37, and so on.
    EXPECT_EQ(over({200, 100, 50, 128}, {10, 20, 30}), (Colour{105, 60, 40}));
}

} // namespace
} // namespace tabard::overlay
