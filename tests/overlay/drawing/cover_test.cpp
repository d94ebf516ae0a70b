#include "overlay/drawing/cover.h"
#include "overlay/drawing/cover_plan.h"

#include <algorithm>
#include <string>
#include <vector>

#include <gtest/gtest.h>

namespace tabard::overlay {
namespace {

constexpr double kHead = 10;
constexpr double kHands = 5;

double area_of_both(Box const& a, Box const& b)
{
    double const width = std::min(a.right(), b.right()) - std::max(a.x, b.x);
    double const height = std::min(a.bottom(), b.bottom()) - std::max(a.y, b.y);
    return std::max(0.0, width) * std::max(0.0, height);
}

/// The share of a part of the picture that is cut off or lies under the card. The card stays inside the window or
/// beside it, so nothing counts twice.
double hidden(CoverPlan const& plan, Box const& part)
{
    Box const there{plan.picture.x + part.x * plan.picture.width, plan.picture.y + part.y * plan.picture.height,
                    part.width * plan.picture.width, part.height * plan.picture.height};
    double const seen = area_of_both(there, plan.window) - (plan.plain ? 0 : area_of_both(there, plan.card));
    return 1 - seen / (there.width * there.height);
}

std::vector<CoverCard> const kCards{{1050, 250, 1}, {640, 250, 0.7}, {420, 480, 0.6}};

// A player: head above, both hands below it to the left and right, anywhere in pictures of five shapes.
TEST(CoverPlan, KeepsHeadAndHandsAndPutsTheCardWhereNeitherIs)
{
    for (double const aspect : {16.0 / 9, 4.0 / 3, 1.0, 3.0 / 4, 9.0 / 16})
        for (double const x : {0.3, 0.5, 0.65}) {
            SCOPED_TRACE(std::to_string(aspect) + " " + std::to_string(x));
            double const head_width = 0.2 * std::min(1.0, 1 / aspect);
            Box const head{x - head_width / 2, 0.08, head_width, 0.24};
            Box const left{x - 0.15, 0.6, 0.12, 0.14};
            Box const right{x + 0.12, 0.55, 0.12, 0.14};
            auto const plan =
                plan_cover(1000 * aspect, 1000, {{head, kHead}, {left, kHands / 2}, {right, kHands / 2}}, kCards);
            EXPECT_LT(hidden(plan, head), 0.05);
            EXPECT_LT(hidden(plan, left) + hidden(plan, right), 0.15);
            EXPECT_TRUE((Box{0, 0, kCoverWidth, kCoverHeight}.contains(plan.card)));
            EXPECT_FALSE(plan.plain && plan.card.overlaps(plan.window));
            EXPECT_NEAR(plan.picture.width / plan.picture.height, aspect, 1e-9) << "nobody is squeezed";
            EXPECT_TRUE(plan.picture.inset(-0.001).contains(plan.window)) << "no edge without picture";
        }
}

TEST(CoverPlan, FillsTheCoverWhereNothingIsToBeKept)
{
    auto const plan = plan_cover(1920, 1080, {}, kCards);
    EXPECT_EQ(plan.window, (Box{0, 0, kCoverWidth, kCoverHeight}));
    EXPECT_EQ(plan.chosen, 0U) << "the largest letters";
    EXPECT_GT(plan.card.y, kCoverHeight / 2.0);
}

/// How much of the cover has one colour, in pixels.
std::ptrdiff_t count(Bitmap const& cover, std::uint32_t colour) { return std::ranges::count(cover.pixels, colour); }

// A red head in a blue picture. Scaled to any size it has its share of what the picture covers; all of it is seen.
TEST(Cover, ShowsTheWholeHeadFromFilmOfAnyShape)
{
    constexpr std::uint32_t kBlue = 0xFF2040C0;
    constexpr std::uint32_t kRed = 0xFFE02020;
    CoverText const text{"A long title of eight words or so", "Capo 4, shapes in C", Shape{{-1, 3, 2, 0, 1, 0}, {}},
                         true, false};
    for (auto const& [width, height] : {std::pair{640, 360}, {360, 360}, {202, 360}}) {
        SCOPED_TRACE(width);
        Bitmap picture{{0, 0, width, height},
                       std::vector<std::uint32_t>(static_cast<std::size_t>(width * height), kBlue)};
        RectPx const head{width / 2 - 40, 30, 80, 90};
        for (int y = head.y; y < head.y + head.height; ++y)
            for (int x = head.x; x < head.x + head.width; ++x)
                picture.pixels[static_cast<std::size_t>(y * width + x)] = kRed;
        Box const share{head.x / double(width), head.y / double(height), head.width / double(width),
                        head.height / double(height)};
        auto const cover = compose_cover(picture, {{share, kHead}}, text, default_theme());
        ASSERT_EQ(cover.pixels.size(), static_cast<std::size_t>(kCoverWidth * kCoverHeight));
        // The least scale shows the whole height: 2 x 2 pixels for each. Edges between the colours are mixed.
        EXPECT_GT(count(cover, kRed), 4 * 80 * 90 * 0.95);
    }
}

TEST(Cover, OfNoPictureIsPlainAndKeepsLongTitlesOnItsCard)
{
    for (std::string const& title :
         {std::string("Short"), std::string(300, 'W'),
          std::string("Ein Titel mit sehr vielen "
                      "Worten, der sich ueber mehrere Zeilen zieht und nirgends Platz hat")}) {
        auto const cover = compose_cover({}, {}, {title, "", {}, false, false}, default_theme());
        ASSERT_EQ(cover.pixels.size(), static_cast<std::size_t>(kCoverWidth * kCoverHeight));
        // The title-safe area: 5 % at each side has one colour.
        for (int y = 0; y < kCoverHeight; ++y)
            for (int const x : {0, kCoverWidth / 20 - 2, kCoverWidth - kCoverWidth / 20 + 2, kCoverWidth - 1})
                ASSERT_EQ(cover.pixels[static_cast<std::size_t>(y * kCoverWidth + x)], cover.pixels[0])
                    << x << " " << y;
    }
}

} // namespace
} // namespace tabard::overlay
