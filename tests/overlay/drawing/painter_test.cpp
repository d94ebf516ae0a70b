#include "overlay/drawing/layout.h"
#include "overlay/drawing/painter.h"

#include <algorithm>
#include <string>

#include <gtest/gtest.h>

namespace tabard::overlay {
namespace {

ChordCard chord_card() { return {{"G", "", "B"}, Shape{{kMuted, 2, 0, 0, 3, 3}, {0, 1, 0, 0, 3, 4}}, {4}, {}}; }

TEST(Painter, KeepsInsideTheRegionOfTheLayer)
{
    Stage const stage{1280, 720, 1280, 720};
    auto painter = *Painter::create(stage, default_theme());
    auto const bitmap = painter.paint(chord_card());
    Box const region = make_layout(stage).chord.inset(-1);
    Box const ink{static_cast<double>(bitmap->at.x), static_cast<double>(bitmap->at.y),
                  static_cast<double>(bitmap->at.width), static_cast<double>(bitmap->at.height)};
    EXPECT_TRUE(region.contains(ink));
    EXPECT_EQ(bitmap->pixels.size(),
              static_cast<std::size_t>(bitmap->at.width) * static_cast<std::size_t>(bitmap->at.height));
}

TEST(Painter, DrawsPremultipliedColours)
{
    auto painter = *Painter::create({}, default_theme());
    auto const bitmap = painter.paint(chord_card());
    EXPECT_TRUE(std::ranges::any_of(bitmap->pixels, [](std::uint32_t pixel) { return pixel >> 24 == 255; }));
    for (std::uint32_t const pixel : bitmap->pixels) {
        std::uint32_t const alpha = pixel >> 24;
        ASSERT_LE((pixel >> 16) & 0xFF, alpha);
        ASSERT_LE((pixel >> 8) & 0xFF, alpha);
        ASSERT_LE(pixel & 0xFF, alpha);
    }
}

TEST(Painter, DrawsTheSameContentOnceAndAlwaysAlike)
{
    auto painter = *Painter::create({}, default_theme());
    auto other = *Painter::create({}, default_theme());
    auto const first = painter.paint(chord_card());
    EXPECT_EQ(first, painter.paint(chord_card()));
    EXPECT_EQ(*first, *other.paint(chord_card()));
}

TEST(Painter, KeepsABitmapAliveForWhoeverHoldsIt)
{
    auto painter = *Painter::create({3840, 2160, 3840, 2160}, default_theme());
    auto const first = painter.paint(chord_card());
    Bitmap const copy = *first;
    for (int i = 1; i < 60; ++i) // more than the cache holds
        painter.paint(TextCard{std::string(static_cast<std::size_t>(i), 'm')});
    EXPECT_EQ(*first, copy);
    EXPECT_EQ(*painter.paint(chord_card()), copy);
}

TEST(Painter, StretchesForPixelsThatAreNotSquare)
{
    // A picture of 1024x576 square pixels stored as 720x576, sample aspect ratio 64:45 (ITU-R BT.601 raster at 16:9).
    Stage const stage{1024, 576, 720, 576};
    auto painter = *Painter::create(stage, default_theme());
    auto square = *Painter::create({1024, 576, 1024, 576}, default_theme());
    auto const stretched = painter.paint(chord_card());
    auto const plain = square.paint(chord_card());
    EXPECT_NEAR(stretched->at.x, plain->at.x * 720.0 / 1024.0, 1.01);
    EXPECT_NEAR(stretched->at.width, plain->at.width * 720.0 / 1024.0, 2.01);
    EXPECT_EQ(stretched->at.height, plain->at.height);
}

TEST(Painter, DrawsALayerInAnotherCornerAsAPictureThatIsLaidOutFromThere)
{
    auto painter = *Painter::create({}, default_theme());
    for (auto const corner : {Corner::bottom_right, Corner::top_right, Corner::bottom_left, Corner::top_left}) {
        Stage stage;
        stage.corner = corner;
        auto placed = *Painter::create(stage, default_theme());
        for (LayerContent const& content : {LayerContent{chord_card()}, LayerContent{TextCard{"Slowly"}}})
            EXPECT_EQ(*painter.paint(content, corner), *placed.paint(content));
        auto const ink = painter.paint(chord_card(), corner)->at;
        bool const left = corner == Corner::top_left || corner == Corner::bottom_left;
        bool const top = corner == Corner::top_left || corner == Corner::top_right;
        EXPECT_EQ(left, ink.x + ink.width < stage.raster_width / 2);
        EXPECT_EQ(top, ink.y < stage.raster_height / 10);
    }
    EXPECT_EQ(painter.paint(chord_card()), painter.paint(chord_card(), Corner::top_left));
}

TEST(Painter, RefusesPicturesItCannotDrawOn)
{
    EXPECT_FALSE(Painter::create({0, 1080, 0, 1080}, default_theme()));
    EXPECT_FALSE(Painter::create({1920, 1080, 1920, 20000}, default_theme()));
    EXPECT_FALSE(Painter::create({1920, 1080, 1920, 1080, 2}, default_theme()));
    EXPECT_FALSE(Painter::create({1920, 1080, 1920, 1080, 9}, default_theme()));
}

} // namespace
} // namespace tabard::overlay
