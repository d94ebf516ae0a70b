#include "pipeline/listen/chart_path.h"

#include <gtest/gtest.h>

namespace tabard::pipeline {
namespace {

/// Beats of one second each.
PlayedStretch played(int first, int beats, double from)
{
    PlayedStretch stretch{first, {}};
    for (int beat = 0; beat <= beats; ++beat)
        stretch.seconds.push_back(from + beat);
    return stretch;
}

ChartPath path_of(std::vector<PlayedStretch> stretches) { return chart_path({std::move(stretches), 0}); }

TEST(ChartPath, PlayingThatNeverLeavesTheChartHasNoDeviation)
{
    auto const path = path_of({played(0, 16, 10)});
    ASSERT_EQ(path.stretches.size(), 1U);
    EXPECT_TRUE(path.deviations.empty());
}

TEST(ChartPath, APauseIsFromWhereTheNextBeatWouldHaveComeToWhereItComes)
{
    auto const path = path_of({played(0, 8, 10), played(8, 8, 21)});
    ASSERT_EQ(path.deviations.size(), 1U);
    auto const& pause = path.deviations[0];
    EXPECT_EQ(pause.kind, Deviation::Kind::pause);
    EXPECT_EQ(pause.beat, 8);
    EXPECT_EQ(pause.next_beat, 8);
    EXPECT_EQ(pause.from, 18);
    EXPECT_EQ(pause.to, 21);
}

TEST(ChartPath, SkippedBeatsAreNamedByTheFirstOfThemAndTheOneAfter)
{
    auto const path = path_of({played(0, 4, 10), played(8, 8, 14)});
    ASSERT_EQ(path.deviations.size(), 1U);
    EXPECT_EQ(path.deviations[0].kind, Deviation::Kind::skipped);
    EXPECT_EQ(path.deviations[0].beat, 4);
    EXPECT_EQ(path.deviations[0].next_beat, 8);
    EXPECT_EQ(path.deviations[0].from, 14);
    EXPECT_EQ(path.deviations[0].to, 14);
}

TEST(ChartPath, ABarBegunAnewDeviatesFromItsFirstBeginningToItsLast)
{
    // Beats 4 and 5 of the second bar, a rest of a second, and the bar once more.
    auto const path = path_of({played(0, 6, 10), played(4, 8, 17)});
    ASSERT_EQ(path.deviations.size(), 1U);
    auto const& again = path.deviations[0];
    EXPECT_EQ(again.kind, Deviation::Kind::again);
    EXPECT_EQ(again.beat, 4);
    EXPECT_EQ(again.again_from, 4);
    EXPECT_EQ(again.from, 14);
    EXPECT_EQ(again.to, 17);
    ASSERT_EQ(path.stretches.size(), 2U);
    EXPECT_EQ(path.stretches[0].end_beat(), 4);
}

TEST(ChartPath, ABarTakenThreeTimesIsOneDeviationFromTheFirstToTheThird)
{
    auto const path = path_of({played(0, 6, 10), played(4, 2, 17), played(4, 8, 20)});
    ASSERT_EQ(path.deviations.size(), 1U);
    EXPECT_EQ(path.deviations[0].from, 14);
    EXPECT_EQ(path.deviations[0].to, 20);
}

TEST(ChartPath, APauseThatIsPlayedOverAgainIsForgotten)
{
    // A pause before beat 6, then from beat 4 once more.
    auto const path = path_of({played(0, 6, 10), played(6, 2, 18), played(4, 8, 22)});
    ASSERT_EQ(path.deviations.size(), 1U);
    EXPECT_EQ(path.deviations[0].kind, Deviation::Kind::again);
    EXPECT_EQ(path.deviations[0].from, 14);
    EXPECT_EQ(path.deviations[0].to, 22);
}

TEST(ChartPath, APartBegunAnewDeviatesBeforeItsFirstBeat)
{
    auto const path = path_of({played(0, 6, 10), played(0, 16, 18)});
    ASSERT_EQ(path.stretches.size(), 1U);
    ASSERT_EQ(path.deviations.size(), 1U);
    EXPECT_EQ(path.deviations[0].beat, 0);
    EXPECT_EQ(path.deviations[0].from, 10);
    EXPECT_EQ(path.deviations[0].to, 18);
}

TEST(ChartPath, ADeviationBeforeTheBarThatIsTakenAgainStays)
{
    auto const path = path_of({played(0, 4, 10), played(4, 6, 16), played(8, 8, 24)});
    ASSERT_EQ(path.deviations.size(), 2U);
    EXPECT_EQ(path.deviations[0].kind, Deviation::Kind::pause);
    EXPECT_EQ(path.deviations[1].beat, 8);
    EXPECT_EQ(path.deviations[1].from, 20);
}

} // namespace
} // namespace tabard::pipeline
