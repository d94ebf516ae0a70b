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
        for (auto const corner : {Corner::top_left, Corner::top_right, Corner::bottom_left, Corner::bottom_right})
            for (int const strings : {3, 6, 8})
                for (int const capo : {0, 4}) {
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
            EXPECT_GT((layout.*region).width, 0);
            EXPECT_GT((layout.*region).height, 0);
        }
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
        for (auto const region : {&Layout::chord, &Layout::next, &Layout::capo, &Layout::ribbon, &Layout::strum})
            EXPECT_FALSE((layout.*region).overlaps(middle));
    });
}

TEST(Layout, SitsInTheCornerThatWasAskedFor)
{
    for_each_stage([](Stage const& stage) {
        Layout const layout = make_layout(stage);
        bool const left = stage.corner == Corner::top_left || stage.corner == Corner::bottom_left;
        bool const top = stage.corner == Corner::top_left || stage.corner == Corner::top_right;
        Box const& chord = layout.chord;
        Box const& capo = layout.capo; // where there is one, it may have the very corner
        EXPECT_NEAR(left ? chord.x : chord.right(), left ? layout.safe.x : layout.safe.right(), 1e-6);
        EXPECT_NEAR(top ? std::min(chord.y, capo.y) : std::max(chord.bottom(), capo.bottom()),
                    top ? layout.safe.y : layout.safe.bottom(), 1e-6);
    });
}

} // namespace
} // namespace tabard::overlay
