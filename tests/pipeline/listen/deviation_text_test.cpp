#include "pipeline/listen/deviation_text.h"

#include <gtest/gtest.h>

namespace tabard::pipeline {
namespace {

using Kind = Deviation::Kind;

HeardDeviation deviation(Kind kind, BarPosition position, BarPosition next, double from, double to, int bars = 0)
{
    return {kind, position, next, position, bars, {from_seconds(from), from_seconds(to)}};
}

TEST(DeviationText, SaysWhereThePlayingStopsAndGoesOn)
{
    EXPECT_EQ(deviation_text(deviation(Kind::pause, {5, 1}, {5, 1}, 37, 43.6)),
              "stops after bar 4 at 0:37.0, goes on with bar 5 at 0:43.6");
    EXPECT_EQ(deviation_text(deviation(Kind::pause, {5, 3}, {5, 3}, 37, 43.6)),
              "stops before beat 3 of bar 5 at 0:37.0, goes on with beat 3 of bar 5 at 0:43.6");
    EXPECT_EQ(deviation_text(deviation(Kind::pause, {1, 1}, {1, 1}, 37, 43.6)),
              "stops before bar 1 at 0:37.0, goes on with bar 1 at 0:43.6");
}

TEST(DeviationText, SaysWhatIsNotPlayed)
{
    EXPECT_EQ(deviation_text(deviation(Kind::skipped, {5, 1}, {7, 1}, 37, 37)),
              "bars 5 and 6 are not played: goes on with bar 7 at 0:37.0");
    EXPECT_EQ(deviation_text(deviation(Kind::skipped, {5, 1}, {6, 1}, 37, 40)),
              "bar 5 is not played: goes on with bar 6 at 0:40.0, after a stop at 0:37.0");
    EXPECT_EQ(deviation_text(deviation(Kind::skipped, {5, 1}, {9, 1}, 37, 37)),
              "bars 5 to 8 are not played: goes on with bar 9 at 0:37.0");
    EXPECT_EQ(deviation_text(deviation(Kind::skipped, {5, 3}, {6, 1}, 37, 37)),
              "what is between beat 3 of bar 5 and bar 6 is not played: goes on at 0:37.0");
}

TEST(DeviationText, SaysWhatIsPlayedAgainAndWhichTimeCounts)
{
    EXPECT_EQ(deviation_text(deviation(Kind::again, {7, 1}, {7, 1}, 48, 50.1, 1)),
              "bar 7 is played again: first from 0:48.0, then from 0:50.1, which is shown");
    EXPECT_EQ(deviation_text(deviation(Kind::again, {7, 1}, {7, 1}, 48, 52.2, 2)),
              "bars 7 and 8 are played again: first from 0:48.0, then from 0:52.2, which is shown");
    EXPECT_EQ(deviation_text(deviation(Kind::again, {7, 1}, {7, 1}, 48, 49, 0)),
              "begins bar 7 anew: first at 0:48.0, then at 0:49.0, which is shown");
}

TEST(DeviationText, SaysThatMoreIsPlayed)
{
    EXPECT_EQ(deviation_text(deviation(Kind::extra, {5, 1}, {5, 1}, 37, 41)),
              "plays something else after bar 4 from 0:37.0 on, goes on with bar 5 at 0:41.0");
}

TEST(DeviationText, SaysPerhapsWhereItIsNotSure)
{
    auto unsure = deviation(Kind::pause, {5, 1}, {5, 1}, 37, 43.6);
    unsure.sure = false;
    EXPECT_EQ(deviation_text(unsure), "perhaps: stops after bar 4 at 0:37.0, goes on with bar 5 at 0:43.6");
}

} // namespace
} // namespace tabard::pipeline
