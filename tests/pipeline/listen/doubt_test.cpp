#include "pipeline/listen/doubt.h"

#include <algorithm>
#include <string>
#include <vector>

#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace tabard::pipeline {
namespace {

/// Eight bars of four beats, a chord each.
ExpectedPart part()
{
    ExpectedPart result;
    for (int bar = 0; bar < 8; ++bar)
        result.spans.push_back({{{bar % 2 == 0 ? 0 : 7}, 0}, 4 * bar, 4});
    return result;
}

/// Beats of half a second from 10 s on; the chord of each bar begins so many beats after its own.
AlignedPart found(std::vector<double> const& off, std::vector<bool> const& early = std::vector<bool>(8))
{
    AlignedPart result{true, 1, {}, {}};
    for (int beat = 0; beat <= 32; ++beat)
        result.beats.push_back(10 + 0.5 * beat);
    for (std::size_t bar = 0; bar < 8; ++bar)
        result.spans.push_back({result.beats[4 * bar] + 0.5 * off[bar], {}, early[bar], {}});
    return result;
}

std::string reason_of(ExpectedPart const& chart, AlignedPart const& heard) { return judge(chart, heard).reason; }

TEST(Doubt, IsNoneWhereChordsBeginWithTheirBeats)
{
    EXPECT_EQ(reason_of(part(), found({0, 0.1, -0.1, 0.05, 0, 0.15, -0.19, 0})), "");
    EXPECT_EQ(reason_of(part(), found({0, 0, 0, 0.4, 0, 0, 0, 0})), "") << "one in eight is a slip";
}

TEST(Doubt, IsNoneWhereChordsComeHalfABeatEarly)
{
    EXPECT_EQ(reason_of(part(), found({-0.5, 0, -0.45, 0, -0.55, 0, -0.5, 0},
                                      {true, false, true, false, true, false, true, false})),
              "");
}

TEST(Doubt, SaysHowManyChordsBeginBetweenTheBeats)
{
    EXPECT_EQ(reason_of(part(), found({0, 0, 0.4, 0, 0, -0.3, 0, 0})),
              "2 of 8 chords begin between the beats that were found");
    auto brief = part();
    brief.spans.resize(4);
    auto heard = found({0, 0, 0.4, 0, 0, 0, 0, 0});
    heard.spans.resize(4);
    EXPECT_EQ(reason_of(brief, heard), "1 of 4 chords begins between the beats that were found");
}

TEST(Doubt, CountsAHeldChordOnce)
{
    auto held = part();
    for (std::size_t bar = 1; bar < 8; ++bar)
        held.spans[bar].chord = held.spans[0].chord;
    EXPECT_EQ(reason_of(held, found({0, 0.4, 0.4, 0.4, 0.4, 0.4, 0.4, 0.4})), "") << "no change but the first";
}

TEST(Doubt, IsThereWhereAReadingThatLiesElsewhereIsNearlyAsLikely)
{
    auto close = found(std::vector<double>(8));
    close.phase = {5, -1};
    auto const judgement = judge(part(), close, 3);
    EXPECT_EQ(judgement.verdict, Verdict::doubtful);
    EXPECT_EQ(judgement.reason, "it might as well lie one beat earlier");
    EXPECT_NE(judgement.help.find("write a pin where bar 3 begins"), std::string::npos);
    close.phase = {5, 0.5};
    EXPECT_EQ(reason_of(part(), close), "it might as well lie half a beat later");
    close.phase = {7, -1};
    EXPECT_EQ(judge(part(), close).verdict, Verdict::sure);
}

/// Bar 5 is so many times as fast as the others.
AlignedPart with_other_tempo(double times)
{
    auto result = found(std::vector<double>(8));
    for (std::size_t beat = 17; beat < result.beats.size(); ++beat)
        result.beats[beat] -= 0.5 * (1 - 1 / times) * static_cast<double>(std::min<std::size_t>(beat - 16, 4));
    for (std::size_t bar = 0; bar < 8; ++bar)
        result.spans[bar].seconds = result.beats[4 * bar];
    return result;
}

TEST(Doubt, IsThereWhereOneBarIsMuchFasterThanTheRest)
{
    EXPECT_EQ(reason_of(part(), with_other_tempo(1.14)), "the tempo of bar 5 is 14 % faster than the rest");
    EXPECT_EQ(reason_of(part(), with_other_tempo(0.8)), "the tempo of bar 5 is 20 % slower than the rest");
    EXPECT_EQ(reason_of(part(), with_other_tempo(1.08)), "");
    auto pinned = part();
    pinned.pins = {{0, 10}, {16, 18}};
    EXPECT_EQ(reason_of(pinned, with_other_tempo(1.14)), "") << "the author has pinned it";
}

TEST(Doubt, IsThereWhereThePartIsHeardFarFromItsWrittenTime)
{
    auto far = found(std::vector<double>(8));
    far.elsewhere = true;
    EXPECT_EQ(reason_of(part(), far), "") << "the file says no time";
    auto timed = part();
    timed.about = 40;
    EXPECT_EQ(reason_of(timed, far), "it is heard far from where the file puts it");
}

TEST(Doubt, NotFoundIsAResultOfItsOwn)
{
    auto chart = part();
    chart.beat_seconds = 0.5;
    auto weak = found(std::vector<double>(8));
    weak.confidence = 0.49;
    EXPECT_EQ(judge(chart, weak).verdict, Verdict::not_found);
    EXPECT_EQ(judge(chart, weak).reason, "at best 49 % of it sounds as written");
    weak.confidence = 0.74;
    EXPECT_EQ(judge(chart, weak).verdict, Verdict::doubtful);
    EXPECT_EQ(judge(chart, weak).reason, "only 74 % of it sounds as written");
    weak.confidence = 0.76;
    EXPECT_EQ(judge(chart, weak).verdict, Verdict::sure);
    EXPECT_EQ(judge(part(), AlignedPart{}).verdict, Verdict::not_found);
}

} // namespace
} // namespace tabard::pipeline
