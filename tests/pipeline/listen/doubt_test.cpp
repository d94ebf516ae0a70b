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
    result.beat_seconds = 0.5;
    for (int bar = 0; bar < 8; ++bar)
        result.spans.push_back({{{bar % 2 == 0 ? 0 : 7}, 0}, 4 * bar, 4});
    return result;
}

/// Beats of half a second from 10 s on.
AlignedPart plain()
{
    AlignedPart result{true, 1, {}, {}};
    for (int beat = 0; beat <= 32; ++beat)
        result.beats.push_back(10 + 0.5 * beat);
    for (std::size_t bar = 0; bar < 8; ++bar)
        result.spans.push_back({result.beats[4 * bar], {}, false, {}});
    return result;
}

std::string reason_of(ExpectedPart const& chart, AlignedPart const& heard, SecondReading const& second = {})
{
    return judge(chart, heard, second).reason;
}

double confidence_of(AlignedPart const& heard, SecondReading const& second = {})
{
    return judge(part(), heard, second).confidence;
}

TEST(Doubt, GrowsWithEverySignAndIsNeverLessThanNone)
{
    auto close = plain();
    close.phase = {3, -1};
    EXPECT_LT(confidence_of(close), confidence_of(plain()));
    auto other_way = plain();
    other_way.path = {1, 8, 14};
    EXPECT_LT(confidence_of(other_way), confidence_of(plain()));
    auto less = plain();
    less.confidence = 0.8;
    EXPECT_LT(confidence_of(less), confidence_of(plain()));
    EXPECT_LT(confidence_of(plain(), {{{8, 16, 0.4}}}), confidence_of(plain()));
    EXPECT_GT(confidence_of(plain()), 0.98) << "nothing speaks against it";
}

TEST(Doubt, NamesTheReadingThatLiesElsewhere)
{
    auto close = plain();
    close.confidence = 0.76;
    close.path = {4, 8, 14};
    close.phase = {0, -1};
    auto const judgement = judge(part(), close, {}, 3);
    EXPECT_EQ(judgement.verdict, Verdict::doubtful);
    EXPECT_EQ(judgement.reason, "it might as well lie one beat earlier");
    EXPECT_NE(judgement.help.find("write a pin where bar 3 begins"), std::string::npos);
    close.phase = {0, 0.5};
    EXPECT_EQ(reason_of(part(), close), "it might as well lie half a beat later");
}

TEST(Doubt, IsThereWhereTheSecondReadingHasAChangeElsewhere)
{
    auto const judgement = judge(part(), plain(), {{{4, 8, 0.2}, {16, 32, 0.41}}});
    EXPECT_EQ(judgement.verdict, Verdict::doubtful);
    EXPECT_EQ(judgement.reason, "a second look at the sound has bars 5 to 8 0.4 s earlier");
    EXPECT_NE(judgement.help.find("write a pin where bar 5 begins"), std::string::npos);
}

TEST(Doubt, SaysWhereThePlayingMayLeaveTheChart)
{
    auto heard = plain();
    heard.path = {-2, 9, 14.5};
    heard.confidence = 0.8;
    heard.phase = {3, 1};
    EXPECT_EQ(reason_of(part(), heard), "the playing may leave the chart at bar 3 (0:14.5)");
    heard.deviations = {{Deviation::Kind::pause, 8, 8, 14, 14}};
    EXPECT_EQ(reason_of(part(), heard), "the playing leaves the chart at bar 3 (0:14.5), or elsewhere");
}

/// Bar 5 is so many times as fast as the others.
AlignedPart with_other_tempo(double times)
{
    auto result = plain();
    for (std::size_t beat = 17; beat < result.beats.size(); ++beat)
        result.beats[beat] -= 0.5 * (1 - 1 / times) * static_cast<double>(std::min<std::size_t>(beat - 16, 4));
    for (std::size_t bar = 0; bar < 8; ++bar)
        result.spans[bar].seconds = result.beats[4 * bar];
    return result;
}

TEST(Doubt, IsThereWhereOneBarIsMuchFasterThanTheRest)
{
    EXPECT_EQ(reason_of(part(), with_other_tempo(1.16)), "the tempo of bar 5 is 16 % faster than the rest");
    EXPECT_EQ(reason_of(part(), with_other_tempo(0.8)), "the tempo of bar 5 is 20 % slower than the rest");
    EXPECT_EQ(reason_of(part(), with_other_tempo(1.08)), "");
    auto pinned = part();
    pinned.pins = {{0, 10}, {16, 18}};
    EXPECT_EQ(reason_of(pinned, with_other_tempo(1.16)), "") << "the author has pinned it";
}

TEST(Doubt, IsThereWhereThePartIsHeardFarFromItsWrittenTime)
{
    auto far = plain();
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
    auto weak = plain();
    weak.confidence = 0.49;
    EXPECT_EQ(judge(chart, weak, {}).verdict, Verdict::not_found);
    EXPECT_EQ(judge(chart, weak, {}).reason, "at best 49 % of it sounds as written");
    weak.confidence = 0.74;
    EXPECT_EQ(judge(chart, weak, {}).verdict, Verdict::doubtful);
    EXPECT_EQ(judge(chart, weak, {}).reason, "only 74 % of it sounds as written");
    weak.confidence = 0.76;
    EXPECT_EQ(judge(chart, weak, {}).verdict, Verdict::sure);
    EXPECT_EQ(judge(part(), AlignedPart{}, {}).verdict, Verdict::not_found);
}

} // namespace
} // namespace tabard::pipeline
