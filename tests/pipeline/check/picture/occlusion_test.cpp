#include "pipeline/check/picture/occlusion.h"

#include <utility>

#include <gtest/gtest.h>

namespace tabard::pipeline {
namespace {

overlay::Scene text_scene(int level = overlay::kFullLevel)
{
    return {{{overlay::TextCard{"A few words over the picture"}, level}}};
}

Occlusion occlusion_of(overlay::Scene const& scene, overlay::Stage const& stage = {})
{
    auto painter = OcclusionPainter::create(stage, overlay::default_theme());
    EXPECT_TRUE(painter);
    return painter->occlusion(scene);
}

double sum(Occlusion const& occlusion)
{
    double total = 0;
    for (auto const& cell : occlusion)
        total += cell.alpha;
    return total;
}

TEST(Occlusion, OfNothingHidesNothing) { EXPECT_EQ(sum(occlusion_of({})), 0); }

// EBU R 95: graphics stay inside the middle 90 %. 5 % of 48 cells are 2.4: the outer two rows stay free.
TEST(Occlusion, StaysInsideTheSafeAreaWhateverThePictureShape)
{
    for (auto const& [width, height] : {std::pair{1920, 1080}, {1080, 1920}, {1080, 1080}}) {
        auto const occlusion = occlusion_of(text_scene(), {.display_width = width, .display_height = height});
        EXPECT_GT(sum(occlusion), 20);
        for (int i = 0; i < kGridCells; ++i) {
            int const x = i % kGridSide;
            int const y = i / kGridSide;
            if (x < 2 || y < 2 || x >= 46 || y >= 46) {
                EXPECT_EQ(occlusion[static_cast<std::size_t>(i)].alpha, 0) << x << ' ' << y;
            }
        }
    }
}

TEST(Occlusion, FadesWithItsLayer)
{
    double const full = sum(occlusion_of(text_scene()));
    EXPECT_NEAR(sum(occlusion_of(text_scene(overlay::kFullLevel / 2))), full / 2, 1e-3 * full);
}

// Porter and Duff 1984, over, premultiplied: colour + below * (1 - alpha).
TEST(Occlusion, LiesOverThePicture)
{
    Occlusion occlusion{};
    occlusion[0] = {{0.3F, 0.2F, 0.1F}, 0.5F};
    occlusion[1] = {{0.5F, 0.5F, 0.5F}, 1};
    RgbGrid footage;
    footage.fill({0.4F, 0.6F, 0.8F});
    auto const result = covered(footage, occlusion);
    EXPECT_FLOAT_EQ(result[0].red, 0.5F);
    EXPECT_FLOAT_EQ(result[0].green, 0.5F);
    EXPECT_FLOAT_EQ(result[0].blue, 0.5F);
    EXPECT_FLOAT_EQ(result[1].red, 0.5F);
    EXPECT_FLOAT_EQ(result[2].red, 0.4F);
}

} // namespace
} // namespace tabard::pipeline
