#include "overlay/drawing/canvas.h"
#include "overlay/drawing/chord_diagram.h"
#include "overlay/drawing/painter.h"
#include "tests/overlay/drawing/samples.h"
#include "tests/support/paths.h"
#include "tests/support/pictures.h"

#include <filesystem>
#include <fstream>
#include <sstream>
#include <string>

#include <gtest/gtest.h>

namespace tabard::overlay {
namespace {

using tests::compare_with_golden;
using tests::kVisible;
using tests::visibility;

/// A shape on white, moved to the right by a part of a pixel.
Bitmap shape_moved_by(double pixels)
{
    Surface const surface{cairo_image_surface_create(CAIRO_FORMAT_ARGB32, 240, 260)};
    Context const cr{cairo_create(surface.get())};
    set_colour(*cr, {255, 255, 255});
    cairo_paint(cr.get());
    cairo_translate(cr.get(), pixels, 0);
    Type const type{*cr, "Inter"};
    Theme const theme;
    DiagramStyle const style{theme.ink,    theme.line,   theme.string,   theme.dot,
                             theme.on_dot, theme.accent, {255, 255, 255}};
    draw_diagram(*cr, type, samples::kFullF, {}, {50.2, 50.7, 150, 180}, style); // no letter jumps a pixel here
    return crop_to_ink(*surface, {});
}

TEST(PictureComparison, SeesNoDifferenceWhereThereIsNone)
{
    EXPECT_EQ(visibility(shape_moved_by(0), shape_moved_by(0)), 0);
}

// The two sides of the limit: what a rounding may do passes, what an eye may notice does not.
TEST(PictureComparison, PassesAShiftByASixteenthOfAPixel)
{
    double const seen = visibility(shape_moved_by(1.0 / 16), shape_moved_by(0));
    EXPECT_GT(seen, 0.05);
    EXPECT_LT(seen, kVisible);
}
TEST(PictureComparison, FailsAShiftByAQuarterOfAPixel)
{
    EXPECT_GT(visibility(shape_moved_by(0.25), shape_moved_by(0)), kVisible);
}
TEST(PictureComparison, FailsASpotInAPlainArea)
{
    Bitmap spotted = shape_moved_by(0);
    spotted.pixels[0] = 0xFFFEFEFE;
    EXPECT_GT(visibility(spotted, shape_moved_by(0)), kVisible);
}
TEST(PictureComparison, FailsAnotherSize)
{
    Bitmap narrow = shape_moved_by(0);
    narrow.at.width = 120;
    narrow.at.height = 520;
    EXPECT_GT(visibility(narrow, shape_moved_by(0)), kVisible);
}

Theme theme_named(std::string const& name)
{
    std::ostringstream text;
    text << std::ifstream(tests::source_folder() / "templates/themes" / (name + ".json")).rdbuf();
    return *parse_theme(text.str());
}

/// All layers of a scene on a mid-grey picture.
Bitmap picture_of(Scene const& scene, Stage stage, Theme const& theme)
{
    auto painter = *Painter::create(stage, theme);
    Surface const surface{cairo_image_surface_create(CAIRO_FORMAT_ARGB32, stage.raster_width, stage.raster_height)};
    Context const cr{cairo_create(surface.get())};
    set_colour(*cr, {128, 128, 128});
    cairo_paint(cr.get());
    for (auto const& layer : scene.layers) {
        Bitmap const& bitmap = *painter.paint(layer.content);
        if (bitmap.at.empty())
            continue;
        Surface const piece{cairo_image_surface_create(CAIRO_FORMAT_ARGB32, bitmap.at.width, bitmap.at.height)};
        copy_into(bitmap, {0, 0, bitmap.at.width, bitmap.at.height}, *piece);
        cairo_set_source_surface(cr.get(), piece.get(), bitmap.at.x, bitmap.at.y);
        cairo_paint(cr.get());
    }
    return crop_to_ink(*surface, {});
}

Stage stage(int width, int height)
{
    Stage result{width, height, width, height};
    result.capo = 4;
    return result;
}

TEST(Golden, ChorusBeingPlayedOnAWidePicture)
{
    EXPECT_EQ(compare_with_golden("playing-light_card-1280x720",
                                  picture_of(samples::playing(), stage(1280, 720), theme_named("light_card"))),
              "");
}
TEST(Golden, FingersThatStayThroughAPartAreSquaredAndOthersRinged)
{
    EXPECT_EQ(compare_with_golden("anchored-light_card-960x720",
                                  picture_of(samples::anchored(), stage(960, 720), theme_named("light_card"))),
              "");
}
TEST(Golden, EveryKindOfLayerOnAWidePicture)
{
    EXPECT_EQ(compare_with_golden("everything-dark_card-1280x720",
                                  picture_of(samples::everything(), stage(1280, 720), theme_named("dark_card"))),
              "");
}
TEST(Golden, TheLastBeatShowsTheComingFingersHollow)
{
    EXPECT_EQ(compare_with_golden("last_beat-dark_card-1280x720",
                                  picture_of(samples::last_beat(), stage(1280, 720), theme_named("dark_card"))),
              "");
}
TEST(Golden, ManyChordsInABarOnAVeryWidePicture)
{
    EXPECT_EQ(compare_with_golden("crowded-light_card-1280x540",
                                  picture_of(samples::crowded(), stage(1280, 540), theme_named("light_card"))),
              "");
}
TEST(Golden, AllInOneCorner)
{
    Stage compact = stage(720, 720);
    compact.corner = Corner::compact_bottom_right;
    EXPECT_EQ(compare_with_golden("playing-compact-720x720",
                                  picture_of(samples::playing(), compact, theme_named("light_card"))),
              "");
}
TEST(Golden, EveryKindOfLayerOnATallPicture)
{
    EXPECT_EQ(compare_with_golden("everything-light_card-540x960",
                                  picture_of(samples::everything(), stage(540, 960), theme_named("light_card"))),
              "");
}
TEST(Golden, EveryKindOfLayerOnASquarePicture)
{
    EXPECT_EQ(compare_with_golden("everything-dark_card-720x720",
                                  picture_of(samples::everything(), stage(720, 720), theme_named("dark_card"))),
              "");
}
TEST(Golden, ShapeInATalkForALeftHandedPlayerFromTheRight)
{
    Stage mirrored = stage(960, 720);
    mirrored.left_handed = true;
    mirrored.corner = Corner::bottom_right;
    EXPECT_EQ(compare_with_golden("talk-left_handed-960x720",
                                  picture_of(samples::talk(), mirrored, theme_named("light_card"))),
              "");
}

} // namespace
} // namespace tabard::overlay
