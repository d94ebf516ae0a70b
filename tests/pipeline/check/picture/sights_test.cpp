#include "overlay/drawing/cover_plan.h"
#include "pipeline/check/picture/sights.h"
#include "tests/support/footage.h"
#include "tests/support/paths.h"
#include "tests/support/run_program.h"

#include <algorithm>
#include <string>
#include <utility>
#include <vector>

#include <fmt/format.h>
#include <gtest/gtest.h>

namespace tabard::pipeline {
namespace {

using overlay::Box;

std::string const kDemo = (tests::source_folder() / "sample_media/lantern.mp4").string();

// The demo film of 1280 x 720, looked at: while the first chord is played the player's eyes are at (636, 186), cap and
// chin within x 565 to 695 and y 80 to 250; the hands at (530, 460) and (760, 470).
constexpr Box kHead{565.0 / 1280, 80.0 / 720, 130.0 / 1280, 170.0 / 720};

TEST(Sights, FindTheHeadAndTheHandsOfTheDemosPlayer)
{
    auto const sights = sights_near(kDemo, from_seconds(6));
    ASSERT_TRUE(sights);
    auto const head = std::ranges::find(*sights, 10.0, &overlay::CoverSight::weight);
    ASSERT_NE(head, sights->end());
    EXPECT_TRUE(head->box.contains({626.0 / 1280, 176.0 / 720, 20.0 / 1280, 20.0 / 720}));
    EXPECT_LT(head->box.width * head->box.height, 4 * kHead.width * kHead.height);
    double hands = 0;
    for (auto const& [box, weight] : *sights)
        if (box.width < 0.03 && box.y > 0.4)
            hands += weight;
    EXPECT_GT(hands, 4) << "of 5: nearly all that moves is below the chin";
}

// Cut from the demo film by ffmpeg: 16:9, 1:1, 9:16. The limits are those of an overlay that is not in the way.
TEST(Sights, KeepHeadAndHandsOnACoverOfAnyShape)
{
    std::vector<overlay::CoverCard> const cards{{1050, 250, 1}, {640, 260, 0.7}, {420, 480, 0.6}};
    tests::TemporaryFolder const folder;
    for (auto const& [width, left] : {std::pair{1280, 0}, {720, 280}, {404, 438}}) {
        SCOPED_TRACE(width);
        std::string const film = folder / fmt::format("{}.mp4", width);
        ASSERT_EQ(
            tests::run_program({"ffmpeg", "-v", "error", "-ss", "4", "-t", "4", "-i", kDemo, "-vf",
                                fmt::format("crop={}:720:{}:0", width, left), "-preset", "ultrafast", "-an", film})
                .exit,
            0);
        auto const sights = sights_near(film, from_seconds(2));
        ASSERT_TRUE(sights);
        auto const plan = overlay::plan_cover(width, 720, *sights, cards);
        double const scale = plan.picture.height / 720;
        Box const head{plan.picture.x + (kHead.x * 1280 - left) * scale, plan.picture.y + kHead.y * 720 * scale,
                       kHead.width * 1280 * scale, kHead.height * 720 * scale};
        EXPECT_TRUE(plan.window.contains(head));
        EXPECT_FALSE(plan.card.overlaps(head));
        EXPECT_LT(plan.lost, 0.15 * 5 + 1) << "of the hands, and the middle";
    }
}

TEST(Sights, OfAFilmWithoutAFaceAreWhereOneWouldBe)
{
    tests::TemporaryFolder const folder;
    tests::make_footage(folder / "plain.mp4", "color=gray:s=180x320:r=25:d=2", {"-pix_fmt", "yuv420p"});
    auto const sights = sights_near(folder / "plain.mp4", from_seconds(1));
    ASSERT_TRUE(sights);
    auto const plan = overlay::plan_cover(180, 320, *sights, {{640, 260, 0.7}});
    double const top = plan.picture.y + plan.picture.height * 0.05;
    EXPECT_GE(top, 0) << "a head is not cut off";
    EXPECT_FALSE(sights_near(folder / "none.mp4", Time{0}));
}

} // namespace
} // namespace tabard::pipeline
