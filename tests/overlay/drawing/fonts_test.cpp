#include "overlay/drawing/canvas.h"
#include "overlay/drawing/fonts.h"
#include "overlay/drawing/type.h"

#include <cstdlib>
#include <string>

#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace tabard::overlay {
namespace {

using testing::ElementsAre;
using testing::IsEmpty;

// Symbola 2.60 has the emoji of Unicode 9 (its package says so); U+1FAE0 came with Unicode 14. U+0378 is no character.
TEST(Fonts, HaveEmojiAndDoubleAccidentalsAndNameWhatTheyLack)
{
    EXPECT_THAT(letters_without_glyphs("\U0001F525 \U0001F469\u200D\U0001F469\u200D\U0001F467 \U0001F1E9\U0001F1EA "
                                       "1\uFE0F\u20E3 \u2764\uFE0F \U0001F44B\U0001F3FD \u2714 E\U0001D12B F\U0001D12A",
                                       "Inter"),
                IsEmpty());
    EXPECT_THAT(letters_without_glyphs("\U0001FAE0 a \u0378\u0301 \U0001FAE0", "Inter"),
                ElementsAre("\U0001FAE0", "\u0378\u0301"));
    EXPECT_THAT(letters_without_glyphs("", "Inter"), IsEmpty());
}

// As wide as two of the single ones: a staff's own sign is a third of that, and unreadable in a name.
TEST(Fonts, SetDoubleAccidentalsAsLargeAsSingleOnes)
{
    Surface const surface{cairo_image_surface_create(CAIRO_FORMAT_ARGB32, 8, 8)};
    Context const cr{cairo_create(surface.get())};
    Type const type{*cr, "Inter"};
    TextStyle const style{100, Weight::bold, {}};
    EXPECT_NEAR(type.width("E\U0001D12B", style), type.width("E\u266D\u266D", style), 0.1);
    EXPECT_NEAR(type.width("F\U0001D12A", style), type.width("F\u266F\u266F", style), 0.1);
}

/// Whether a text has any colour but greys when it is set in black on white.
bool is_coloured(std::string const& text)
{
    constexpr int kSide = 200;
    Surface const surface{cairo_image_surface_create(CAIRO_FORMAT_ARGB32, kSide, kSide)};
    Context const cr{cairo_create(surface.get())};
    set_colour(*cr, {255, 255, 255});
    cairo_paint(cr.get());
    Type const type{*cr, "Inter"};
    type.draw(text, {20, 120}, {100, Weight::regular, {0, 0, 0}});
    Bitmap const bitmap = crop_to_ink(*surface, {});
    int dark = 0;
    for (auto const pixel : bitmap.pixels) {
        auto const part = [pixel](unsigned shift) { return static_cast<int>((pixel >> shift) & 0xFFU); };
        if (std::abs(part(16) - part(8)) > 3 || std::abs(part(8) - part(0)) > 3)
            return true;
        dark += part(0) < 128 ? 1 : 0;
    }
    EXPECT_GT(dark, 500) << "something was drawn";
    return false;
}

TEST(Fonts, DrawEmojiInTheColourOfTheWords)
{
    for (char const* emoji : {"\U0001F525", "\u2764\uFE0F", "\U0001F600"})
        EXPECT_FALSE(is_coloured(emoji)) << emoji;
}

} // namespace
} // namespace tabard::overlay
