#include "overlay/drawing/painter.h"
#include "overlay/drawing/scene.h"
#include "overlay/drawing/strum_glyphs.h"
#include "tests/overlay/drawing/samples.h"

#include <string>

#include <gtest/gtest.h>

namespace tabard::overlay {
namespace {

/// The steps that are on a pulse, counted from 1.
std::string pulses(Meter meter, int steps)
{
    std::string all;
    for (int step = 0; step < steps; ++step)
        if (on_pulse(meter, steps, step))
            all += (all.empty() ? "" : " ") + std::to_string(step + 1);
    return all;
}

// Compound meters go in groups of three: 6/8 has two dotted beats, 9/8 three, 12/8 four (the rudiments of music in any
// primer). In simple meters each beat is one.
TEST(StrumRow, CountsWithTheWeightOfTheMeter)
{
    EXPECT_EQ(pulses({6, 8}, 6), "1 4");
    EXPECT_EQ(pulses({6, 8}, 12), "1 7");
    EXPECT_EQ(pulses({9, 8}, 9), "1 4 7");
    EXPECT_EQ(pulses({12, 8}, 12), "1 4 7 10");
    EXPECT_EQ(pulses({4, 4}, 8), "1 3 5 7");
    EXPECT_EQ(pulses({4, 4}, 16), "1 5 9 13");
    EXPECT_EQ(pulses({3, 4}, 12), "1 5 9");
    EXPECT_EQ(pulses({4, 4}, 4), "1 2 3 4");
    EXPECT_EQ(pulses({4, 4}, 2), "1 2");
    EXPECT_EQ(pulses({5, 4}, 10), "1 3 5 7 9");
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
