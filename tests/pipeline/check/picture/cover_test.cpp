#include "pipeline/check/picture/cover.h"

#include <gtest/gtest.h>

namespace tabard::pipeline {
namespace {

overlay::Scene text_scene(int level = overlay::kFullLevel)
{
    return {{{overlay::TextCard{"A few words over the picture"}, level}}};
}

Cover cover_of(overlay::Scene const& scene, overlay::Stage const& stage = {})
{
    auto painter = CoverPainter::create(stage, overlay::default_theme());
    EXPECT_TRUE(painter);
    return painter->cover(scene);
}

double sum(Cover const& cover)
{
    double total = 0;
    for (auto const& cell : cover)
        total += cell.alpha;
    return total;
}

TEST(Cover, OfNothingHidesNothing) { EXPECT_EQ(sum(cover_of({})), 0); }

// EBU R 95: graphics stay inside the middle 90 %. 5 % of 48 cells are 2.4: the outer two rows stay free.
TEST(Cover, StaysInsideTheSafeAreaWhateverThePictureShape)
{
    for (auto const& [width, height] : {std::pair{1920, 1080}, {1080, 1920}, {1080, 1080}}) {
        auto const cover = cover_of(text_scene(), {.display_width = width, .display_height = height});
        EXPECT_GT(sum(cover), 20);
        for (int i = 0; i < kGridCells; ++i) {
            int const x = i % kGridSide;
            int const y = i / kGridSide;
            if (x < 2 || y < 2 || x >= 46 || y >= 46) {
                EXPECT_EQ(cover[static_cast<std::size_t>(i)].alpha, 0) << x << ' ' << y;
            }
        }
    }
}

TEST(Cover, FadesWithItsLayer)
{
    double const full = sum(cover_of(text_scene()));
    EXPECT_NEAR(sum(cover_of(text_scene(overlay::kFullLevel / 2))), full / 2, 1e-3 * full);
}

// Porter and Duff 1984, over, premultiplied: colour + below * (1 - alpha).
TEST(Cover, LiesOverThePicture)
{
    Cover cover{};
    cover[0] = {{0.3F, 0.2F, 0.1F}, 0.5F};
    cover[1] = {{0.5F, 0.5F, 0.5F}, 1};
    RgbGrid footage;
    footage.fill({0.4F, 0.6F, 0.8F});
    auto const result = covered(footage, cover);
    EXPECT_FLOAT_EQ(result[0].red, 0.5F);
    EXPECT_FLOAT_EQ(result[0].green, 0.5F);
    EXPECT_FLOAT_EQ(result[0].blue, 0.5F);
    EXPECT_FLOAT_EQ(result[1].red, 0.5F);
    EXPECT_FLOAT_EQ(result[2].red, 0.4F);
}

} // namespace
} // namespace tabard::pipeline
