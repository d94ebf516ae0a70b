#include "overlay/drawing/layout.h"

#include <algorithm>
#include <array>

#include <gtest/gtest.h>

namespace tabard::overlay {
namespace {

constexpr std::array kRegions{&Layout::chord, &Layout::next,   &Layout::capo,     &Layout::ribbon,
                              &Layout::strum, &Layout::banner, &Layout::count_in, &Layout::text};

struct Shape2d {
    int width;
    int height;
};
// The shapes films are made in: 16:9, 4:3, 1:1, 9:16; then cinema, ultra-wide, old phone, tall phone, portrait photo.
constexpr Shape2d kPictures[] = {{1920, 1080}, {1440, 1080}, {1080, 1080}, {1080, 1920}, {2048, 858},
                                 {2560, 1080}, {640, 480},   {1080, 2340}, {864, 1080},  {3840, 2160}};

template <class Check>
void for_each_stage(Check check)
{
    for (auto const picture : kPictures)
        for (int index = 0; index < kCorners; ++index)
            for (int const strings : {3, 6, 8})
                for (int const capo : {0, 4}) {
                    auto const corner = static_cast<Corner>(index);
                    SCOPED_TRACE(testing::Message() << picture.width << "x" << picture.height << " corner "
                                                    << static_cast<int>(corner) << ", " << strings << " strings");
                    check(Stage{picture.width, picture.height, picture.width, picture.height, strings, false, corner,
                                capo});
                }
}

TEST(Layout, KeepsEveryRegionInsideTheMiddleNinetyPercent)
{
    for_each_stage([](Stage const& stage) {
        Layout const layout = make_layout(stage);
        Box const safe = Box{0.05 * stage.display_width, 0.05 * stage.display_height, 0.9 * stage.display_width,
                             0.9 * stage.display_height}
                             .inset(-1e-6);
        for (auto const region : kRegions) {
            EXPECT_TRUE(safe.contains(layout.*region));
            if (compact(stage.corner) && region == &Layout::strum)
                continue; // it is left out there
            EXPECT_GT((layout.*region).width, 0);
            EXPECT_GT((layout.*region).height, 0);
        }
    });
}

TEST(Layout, AChordOfATalkStandsAtTheEdgeOfItsCorner)
{
    ChordCard talk;
    talk.alone = true;
    for_each_stage([&](Stage const& stage) {
        Layout const layout = make_layout(stage);
        Box const box = region_of(talk, layout);
        double const from_edge = std::min(box.y - layout.safe.y, std::max(0.0, layout.safe.bottom() - box.bottom()));
        bool const row = layout.wide_chord && layout.from_bottom;
        EXPECT_TRUE(row || from_edge < 1e-6) << from_edge;
        EXPECT_EQ(box.height, layout.chord.height);
    });
}

TEST(Layout, NeverLetsTwoLayersCollide)
{
    for_each_stage([](Stage const& stage) {
        Layout const layout = make_layout(stage);
        for (std::size_t i = 0; i < kRegions.size(); ++i)
            for (std::size_t k = i + 1; k < kRegions.size(); ++k)
                EXPECT_FALSE((layout.*kRegions[i]).overlaps(layout.*kRegions[k])) << "regions " << i << " and " << k;
    });
}

TEST(Layout, LeavesTheMiddleOfThePictureToHandsAndFace)
{
    // Where the sound hole is when a player is framed. Common practice, no published source.
    for_each_stage([](Stage const& stage) {
        if (stage.display_height > stage.display_width)
            return; // a tall picture has no free side
        Layout const layout = make_layout(stage);
        double const w = stage.display_width;
        double const h = stage.display_height;
        Box const middle{w * 0.43, h * 0.45, w * 0.14, h * 0.20};
        for (auto const region : {&Layout::chord, &Layout::next, &Layout::ribbon, &Layout::strum})
            EXPECT_FALSE((layout.*region).overlaps(middle));
    });
}

TEST(Layout, SitsInTheCornerThatWasAskedFor)
{
    for_each_stage([](Stage const& stage) {
        Layout const layout = make_layout(stage);
        Corner const corner = without_compact(stage.corner);
        bool const left = corner == Corner::top_left || corner == Corner::bottom_left;
        bool const top = corner == Corner::top_left || corner == Corner::top_right;
        Box const& chord = layout.chord;
        Box const& next = layout.next;
        EXPECT_NEAR(left ? std::min(chord.x, next.x) : std::max(chord.right(), next.right()),
                    left ? layout.safe.x : layout.safe.right(), 1e-6);
        EXPECT_NEAR(top ? std::min(chord.y, next.y) : std::max(chord.bottom(), next.bottom()),
                    top ? layout.safe.y : layout.safe.bottom(), 1e-6);
    });
}

TEST(Layout, ReadsTheChordThatIsPlayedBeforeTheOneThatFollows)
{
    for_each_stage([](Stage const& stage) {
        Layout const layout = make_layout(stage);
        EXPECT_LE(layout.chord.y, layout.next.y);
        if (layout.wide_chord) {
            EXPECT_EQ(layout.from_right, layout.next.x < layout.chord.x) << "the chord has the corner";
        }
    });
}

// Upright clips are watched for the face: whatever may be on screen at once takes a third of the height at most.
TEST(Layout, CoversAtMostAThirdOfATallPicture)
{
    for (int index = 0; index < kCorners; ++index) {
        Stage const stage{1080, 1920, 1080, 1920, 6, false, static_cast<Corner>(index), 4};
        Layout const layout = make_layout(stage);
        double const rows = layout.chord.height + layout.banner.height + layout.text.height + layout.ribbon.height +
                            layout.strum.height;
        EXPECT_LE(rows, 1920 / 3.0);
    }
}

// The names above which a phone shows a picture 400 pixels wide: 9:16, 1:1, 4:3, 16:9, 21:9 (which is 64:27).
TEST(Layout, MeasuresInPixelsOfAPhone)
{
    for (auto const& [width, height] :
         {Shape2d{1080, 1920}, Shape2d{1080, 1080}, Shape2d{1440, 1080}, Shape2d{1920, 1080}, Shape2d{2560, 1080}})
        EXPECT_DOUBLE_EQ(make_layout({width, height, width, height}).unit, width / 400.0);
}

} // namespace
} // namespace tabard::overlay
