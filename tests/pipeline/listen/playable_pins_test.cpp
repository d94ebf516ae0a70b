#include "pipeline/listen/playable_pins.h"

#include <vector>

#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace tabard::pipeline {
namespace {

using testing::ElementsAre;

// 30 to 260 a minute: a beat lasts 2 s to 0.231 s.
constexpr TempoLimits kLimits{60.0 / 260, 60.0 / 30};

std::vector<int> beats_of(std::vector<BeatPin> const& pins)
{
    std::vector<int> beats;
    for (BeatPin const& pin : pins)
        beats.push_back(pin.beat);
    return beats;
}

TEST(PlayablePins, KeepWhatIsPlayed)
{
    std::vector<BeatPin> const pins{{0, 5}, {4, 7.4}, {8, 10.1}};
    EXPECT_TRUE(are_playable(pins, kLimits));
    EXPECT_THAT(beats_of(playable_pins(pins, {}, kLimits)), ElementsAre(0, 4, 8));
}

// Two chords heard 20 ms apart, a beat of the chart between them: 3000 beats a minute.
TEST(PlayablePins, DropWhatNobodyPlays)
{
    std::vector<BeatPin> const pins{{0, 5}, {4, 7.4}, {5, 7.42}, {8, 10.1}};
    EXPECT_FALSE(are_playable(pins, kLimits));
    auto const kept = playable_pins(pins, {}, kLimits);
    EXPECT_THAT(beats_of(kept), ElementsAre(0, 4, 8));
    EXPECT_TRUE(are_playable(kept, kLimits));
    // Dropping one may leave a pair that is wrong as well: all between the ends go.
    std::vector<BeatPin> const crowd{{0, 5}, {1, 5.02}, {2, 5.04}, {3, 5.06}, {8, 9.8}};
    EXPECT_THAT(beats_of(playable_pins(crowd, {}, kLimits)), ElementsAre(0, 8));
}

TEST(PlayablePins, KeepTheAuthorsAndBothEnds)
{
    std::vector<BeatPin> const pins{{0, 5}, {4, 7.4}, {5, 7.42}, {8, 10.1}};
    EXPECT_THAT(beats_of(playable_pins(pins, {{5, 7.42}}, kLimits)), ElementsAre(0, 5, 8));
    std::vector<BeatPin> const ends{{0, 5}, {8, 5.5}};
    EXPECT_THAT(beats_of(playable_pins(ends, {}, kLimits)), ElementsAre(0, 8));
    EXPECT_FALSE(are_playable(ends, kLimits)) << "who writes them has to look";
}

// After a pause of 20 s four beats last 2.4 s; without the pause they would take 5.6 s each.
TEST(PlayablePins, APauseIsNoSlowTempo)
{
    std::vector<BeatPin> const pins{{0, 5, {}}, {4, 7.4, BeatPin::GoesOn{4, 27.4}}, {8, 29.8, {}}};
    EXPECT_TRUE(are_playable(pins, kLimits));
    EXPECT_THAT(beats_of(playable_pins(pins, {}, kLimits)), ElementsAre(0, 4, 8));
}

} // namespace
} // namespace tabard::pipeline
