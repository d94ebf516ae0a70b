#include "overlay/drawing/painter.h"
#include "overlay/drawing/pulse_row.h"
#include "overlay/drawing/scene.h"
#include "overlay/drawing/strum_glyphs.h"
#include "tests/overlay/drawing/samples.h"

#include <string>
#include <vector>

#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace tabard::overlay {
namespace {

/// The steps that are counted with that weight, counted from 1.
std::string steps_with(Weighing weight, Meter meter, int steps)
{
    std::string all;
    for (int step = 0; step < steps; ++step)
        if (weighing(meter, steps, step) == weight)
            all += (all.empty() ? "" : " ") + std::to_string(step + 1);
    return all;
}

std::string strong(Meter meter, int steps) { return steps_with(Weighing::strong, meter, steps); }

// Compound meters go in groups of three: 6/8 has two dotted beats, 9/8 three, 12/8 four (the rudiments of music in any
// primer). In simple meters each beat is one.
TEST(StrumRow, CountsWithTheWeightOfTheMeter)
{
    EXPECT_EQ(strong({6, 8}, 6), "1 4");
    EXPECT_EQ(strong({6, 8}, 12), "1 7");
    EXPECT_EQ(strong({9, 8}, 9), "1 4 7");
    EXPECT_EQ(strong({12, 8}, 12), "1 4 7 10");
    EXPECT_EQ(strong({4, 4}, 8), "1 3 5 7");
    EXPECT_EQ(strong({4, 4}, 16), "1 5 9 13");
    EXPECT_EQ(strong({3, 4}, 12), "1 5 9");
    EXPECT_EQ(strong({4, 4}, 4), "1 2 3 4");
    EXPECT_EQ(strong({4, 4}, 2), "1 2");
}

// Two eighths to a beat: beat 4 of 3+2 is step 7, and the beats between are 2, 3 and 5. In 3+3+2/8 quarters fall on
// eighths 1 3 5 7, and groups begin on 1 4 7.
TEST(StrumRow, CountsOddMetersByTheirGroups)
{
    Meter const five = Meter::parse("3+2/4").value();
    EXPECT_EQ(strong(five, 10), "1 7");
    EXPECT_EQ(steps_with(Weighing::pulse, five, 10), "3 5 9");
    EXPECT_EQ(steps_with(Weighing::between, five, 10), "2 4 6 8 10");
    EXPECT_EQ(strong(five, 5), "1 4");
    EXPECT_EQ(strong({5, 4}, 10), "1 7") << "as 3+2";
    EXPECT_EQ(strong(Meter::parse("2+3/4").value(), 10), "1 5");
    EXPECT_EQ(strong(Meter::parse("2+2+3/8").value(), 7), "1 3 5");
    EXPECT_EQ(strong(Meter::parse("2+2+3/8").value(), 14), "1 5 9");
    EXPECT_EQ(strong(Meter::parse("3+3+2/8").value(), 4), "1 4");
    EXPECT_EQ(steps_with(Weighing::pulse, Meter::parse("3+3+2/8").value(), 4), "2 3");
    EXPECT_EQ(strong(Meter::parse("2+2/4").value(), 8), "1 5");
}

// 7 boxes and 6 gaps of 2 over 100, and twice 1.8 gaps more: (100 - 12 - 7.2) / 7 = 11.543 each.
TEST(PulseRow, GroupsStandApart)
{
    auto const even = pulse_row({0, 0, 100, 5}, 7, 2, 0);
    EXPECT_NEAR(even[3].x - even[2].right(), 2, 1e-9);
    auto const grouped = pulse_row({0, 0, 100, 5}, 7, 2, Meter::parse("2+2+3/8").value().pulse_groups());
    ASSERT_EQ(grouped.size(), 7U);
    std::vector<double> gaps;
    for (std::size_t i = 1; i < grouped.size(); ++i)
        gaps.push_back(grouped[i].x - grouped[i - 1].right());
    EXPECT_THAT(gaps, testing::Pointwise(testing::DoubleNear(1e-9), {2.0, 5.6, 2.0, 5.6, 2.0, 2.0}));
    EXPECT_NEAR(grouped[0].width, 11.543, 0.001);
    EXPECT_NEAR(grouped[6].right(), 100, 1e-9);
}

/// Pixels of the accent colour on a lane.
int accented(StrumLane const& lane)
{
    Theme const theme;
    auto painter = *Painter::create({}, theme);
    std::uint32_t const accent = 0xFF000000U | std::uint32_t{theme.accent.red} << 16 |
                                 std::uint32_t{theme.accent.green} << 8 | theme.accent.blue;
    int count = 0;
    for (std::uint32_t const pixel : painter.paint(lane)->pixels)
        count += pixel == accent ? 1 : 0;
    return count;
}

TEST(StrumRow, AStrokeLightsAPlateAndARestAnOutline)
{
    StrumLane lane{"rolling", samples::rolling(), {}, std::nullopt, 0};
    EXPECT_EQ(accented(lane), 0);
    lane.lit_step = 0; // a stroke
    int const stroke = accented(lane);
    lane.lit_step = 1; // the hand passes
    int const rest = accented(lane);
    EXPECT_GT(rest, 0);
    EXPECT_GT(stroke, 5 * rest);
}

TEST(StrumRow, TheStrokeThatComesNextIsMarkedBeforeItIsDue)
{
    StrumLane const now{"rolling", samples::rolling(), {}, 0, 0};
    StrumLane next = now;
    next.next_stroke = 2;
    EXPECT_GT(accented(next), accented(now));
}

TEST(StrumRow, WhereNoChordSoundsAllIsDim)
{
    StrumLane lane{"rolling", samples::rolling(), {}, std::nullopt, 0};
    auto painter = *Painter::create({}, Theme{});
    auto const dark = [&] {
        int count = 0;
        for (std::uint32_t const pixel : painter.paint(lane)->pixels)
            count += pixel == 0xFF1B1A17 ? 1 : 0; // the ink of the light card
        return count;
    };
    EXPECT_GT(dark(), 100);
    lane.silent = true;
    EXPECT_EQ(dark(), 0);
}

} // namespace
} // namespace tabard::overlay
