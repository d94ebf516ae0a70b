#include "overlay/drawing/canvas.h"
#include "overlay/drawing/layout.h"
#include "overlay/drawing/painter.h"
#include "overlay/drawing/type.h"
#include "tests/overlay/drawing/samples.h"

#include <algorithm>
#include <string>
#include <vector>

#include <gtest/gtest.h>

namespace tabard::overlay {
namespace {

constexpr RectPx kPictures[] = {{0, 0, 1920, 1080}, {0, 0, 1280, 720},  {0, 0, 1440, 1080},
                                {0, 0, 1080, 1080}, {0, 0, 1080, 1920}, {0, 0, 608, 1080}};

int unknown_glyphs(char const* text, TextStyle const& style)
{
    Surface const surface{cairo_image_surface_create(CAIRO_FORMAT_ARGB32, 8, 8)};
    Context const cr{cairo_create(surface.get())};
    Type const type{*cr, "Inter"};
    return pango_layout_get_unknown_glyphs_count(type.paragraph(text, style, 1000, 10).layout.get());
}

TEST(Legibility, NoSignOfAChordNameComesOutAsAHollowBox)
{
    TextStyle const letters{20, Weight::bold, {}};
    TextStyle const signs{20, Weight::bold, {}, true};
    EXPECT_EQ(unknown_glyphs("\u266F\u266D\u266E\u00B0\u0394", signs), 0);
    EXPECT_EQ(unknown_glyphs("ABCDEFGabcdefghijklmnopqrstuvwxyz0123456789/()+-\u00F8\u2013", letters), 0);
    EXPECT_EQ(unknown_glyphs("Key of F\u266Fm, \u00DC\u00E9\u0142\u011F, \u041F\u0440\u0438\u0432\u0435\u0442, "
                             "\u0645\u0631\u062D\u0628\u0627",
                             letters),
              0);
    EXPECT_EQ(unknown_glyphs("\u0378", letters), 1); // Unicode assigns no character there: nobody draws it
}

/// The middle of each dot column from the left, found in the picture: columns with dark ink at the height of the dots.
std::vector<int> dot_columns(Bitmap const& with_dots, Bitmap const& without)
{
    std::vector<int> columns;
    for (int x = 0; x < with_dots.at.width; ++x) {
        int changed = 0;
        for (int y = 0; y < with_dots.at.height; ++y) {
            auto const at = static_cast<std::size_t>(y * with_dots.at.width + x);
            changed += with_dots.pixels[at] != without.pixels[at] ? 1 : 0;
        }
        if (changed > 20)
            columns.push_back(x);
    }
    return columns;
}

TEST(Legibility, LeftHandedDiagramsAreMirroredAndTheirNumbersAreNot)
{
    Stage stage;
    stage.left_handed = true;
    auto left = *Painter::create(stage, default_theme());
    auto right = *Painter::create({}, default_theme());
    // One finger on the lowest string: at the left for the right-handed, at the right for the left-handed.
    ChordCard const one{{}, Shape{{3, 0, 0, 0, 0, 0}, {3, 0, 0, 0, 0, 0}}, {}, {}};
    ChordCard const none{{}, Shape{{-1, 0, 0, 0, 0, 0}, {}}, {}, {}};
    auto const right_dot = dot_columns(*right.paint(one), *right.paint(none));
    auto const left_dot = dot_columns(*left.paint(one), *left.paint(none));
    ASSERT_FALSE(right_dot.empty());
    ASSERT_FALSE(left_dot.empty());
    int const width = right.paint(one)->at.width;
    EXPECT_NEAR(right_dot.front(), width - 1 - left_dot.back(), 1);
    EXPECT_LT(right_dot.back(), width / 2);
}

TEST(Legibility, AStayingFingerIsMarkedByShapeNotByColourAlone)
{
    // With the accent in the very colour of the dots the ring must still be seen.
    Theme theme;
    theme.accent = theme.dot;
    auto painter = *Painter::create({}, theme);
    Shape const shape{{-1, 3, 2, 0, 1, 0}, {0, 3, 2, 0, 1, 0}};
    EXPECT_NE(*painter.paint(ChordCard{{}, shape, {}, {}}), *painter.paint(ChordCard{{}, shape, {2}, {}}));
    EXPECT_NE(*painter.paint(ChordCard{{}, shape, {2}, {}}), *painter.paint(ChordCard{{}, shape, {2}, {2}}));
}

TEST(Legibility, ALongTitleIsCutInsideItsCard)
{
    Stage const stage{1280, 720, 1280, 720};
    auto painter = *Painter::create(stage, default_theme());
    std::string const endless(300, 'W');
    Box const region = make_layout(stage).banner.inset(-1);
    for (LayerContent const& content : {LayerContent{SectionBanner{endless, endless}}}) {
        auto const bitmap = painter.paint(content);
        EXPECT_GE(bitmap->at.x, region.x);
        EXPECT_LE(bitmap->at.x + bitmap->at.width, region.right());
        EXPECT_GT(bitmap->at.width, region.width * 0.8);
    }
}

TEST(Legibility, ALongTextKeepsInsideItsRegion)
{
    for (RectPx const size : kPictures) {
        Stage const stage{size.width, size.height, size.width, size.height};
        auto painter = *Painter::create(stage, default_theme());
        std::string text;
        for (int i = 0; i < 200; ++i)
            text += "hold this shape and listen; ";
        auto const bitmap = painter.paint(TextCard{text});
        Box const region = make_layout(stage).text.inset(-2);
        EXPECT_TRUE(region.contains({static_cast<double>(bitmap->at.x), static_cast<double>(bitmap->at.y),
                                     static_cast<double>(bitmap->at.width), static_cast<double>(bitmap->at.height)}));
    }
}

} // namespace
} // namespace tabard::overlay
