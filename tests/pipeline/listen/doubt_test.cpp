#include "pipeline/listen/doubt.h"

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

TEST(Doubt, IsNoneWhereChordsBeginWithTheirBeats)
{
    EXPECT_EQ(doubt_of(part(), found({0, 0.1, -0.1, 0.05, 0, 0.15, -0.19, 0})), "");
    EXPECT_EQ(doubt_of(part(), found({0, 0, 0, 0.4, 0, 0, 0, 0})), "") << "one in eight is a slip";
}

TEST(Doubt, IsNoneWhereChordsComeHalfABeatEarly)
{
    EXPECT_EQ(doubt_of(part(), found({-0.5, 0, -0.45, 0, -0.55, 0, -0.5, 0},
                                     {true, false, true, false, true, false, true, false})),
              "");
}

TEST(Doubt, SaysHowManyChordsBeginBetweenTheBeats)
{
    EXPECT_EQ(doubt_of(part(), found({0, 0, 0.4, 0, 0, -0.3, 0, 0})),
              "2 of 8 chords begin between the beats that were found");
    auto brief = part();
    brief.spans.resize(4);
    auto heard = found({0, 0, 0.4, 0, 0, 0, 0, 0});
    heard.spans.resize(4);
    EXPECT_EQ(doubt_of(brief, heard), "1 of 4 chords begins between the beats that were found");
}

TEST(Doubt, CountsAHeldChordOnce)
{
    auto held = part();
    for (std::size_t bar = 1; bar < 8; ++bar)
        held.spans[bar].chord = held.spans[0].chord;
    EXPECT_EQ(doubt_of(held, found({0, 0.4, 0.4, 0.4, 0.4, 0.4, 0.4, 0.4})), "") << "no change but the first";
}

} // namespace
} // namespace tabard::pipeline
