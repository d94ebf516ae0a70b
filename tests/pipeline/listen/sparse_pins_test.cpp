#include "pipeline/listen/sparse_pins.h"

#include <algorithm>
#include <cmath>
#include <random>
#include <utility>
#include <vector>

#include <gtest/gtest.h>

namespace tabard::pipeline {
namespace {

/// `bars` bars of four beats with another chord in each.
ExpectedPart bars_of_four(int bars)
{
    ExpectedPart part;
    for (int bar = 0; bar < bars; ++bar)
        part.spans.push_back({{{bar % 12, (bar + 4) % 12, (bar + 7) % 12}, bar % 12}, 4 * bar, 4});
    return part;
}

AlignedPart heard_at(ExpectedPart const& part, std::vector<double> beats)
{
    AlignedPart found;
    found.found = true;
    for (ExpectedSpan const& span : part.spans)
        found.spans.emplace_back().seconds = beats[static_cast<std::size_t>(span.first_beat)];
    found.beats = std::move(beats);
    return found;
}

double time_between_pins(std::vector<BeatPin> const& pins, int beat)
{
    for (std::size_t n = 1; n < pins.size(); ++n) {
        if (beat <= pins[n].beat) {
            double const share = (beat - pins[n - 1].beat) / double(pins[n].beat - pins[n - 1].beat);
            return std::lerp(pins[n - 1].seconds, pins[n].seconds, share);
        }
    }
    return NAN;
}

TEST(SparsePins, ASteadyTempoNeedsItsTwoEndsOnly)
{
    auto const part = bars_of_four(8);
    std::vector<double> beats;
    for (int beat = 0; beat <= 32; ++beat)
        beats.push_back(10 + 0.5 * beat);
    auto const pins = sparse_pins(part, heard_at(part, beats));
    ASSERT_EQ(pins.size(), 2U);
    EXPECT_EQ(pins.front().beat, 0);
    EXPECT_EQ(pins.back().beat, 32);
    EXPECT_DOUBLE_EQ(pins.back().seconds, 26); // 10 + 32 * 0.5
}

TEST(SparsePins, EveryChangeOfAWanderingTempoStaysWithinItsTolerance)
{
    auto const part = bars_of_four(16);
    for (unsigned seed = 1; seed <= 50; ++seed) {
        std::mt19937 random(seed);
        std::normal_distribution<double> wander(0, 0.02);
        std::vector<double> beats{3};
        for (int beat = 0; beat < 64; ++beat)
            beats.push_back(beats.back() + 0.6 + wander(random));
        auto const pins = sparse_pins(part, heard_at(part, beats), {0.015, 0.045});
        EXPECT_LT(pins.size(), 33U) << seed; // fewer than one every other beat
        for (int beat = 0; beat <= 64; ++beat)
            EXPECT_NEAR(time_between_pins(pins, beat), beats[static_cast<std::size_t>(beat)],
                        beat % 4 == 0 && beat < 64 ? 0.0151 : 0.11 /* 0.15 of a beat of up to 0.7 s */)
                << seed << " " << beat;
    }
}

// Hands are 8 ms uneven and an onset is found to within some milliseconds: three deviations of 10 ms are 30 ms.
TEST(SparsePins, UnevenHandsInASteadyTempoBendNothing)
{
    auto const part = bars_of_four(16);
    std::size_t pins = 0;
    for (unsigned seed = 1; seed <= 50; ++seed) {
        std::mt19937 random(seed);
        std::normal_distribution<double> uneven(0, 0.009);
        std::vector<double> beats;
        for (int beat = 0; beat <= 64; ++beat)
            beats.push_back(7 + 0.55 * beat + uneven(random));
        auto const found = sparse_pins(part, heard_at(part, beats));
        pins += found.size();
        for (int beat = 0; beat < 64; beat += 4)
            EXPECT_NEAR(time_between_pins(found, beat), 7 + 0.55 * beat, 0.025) << seed << " " << beat;
    }
    EXPECT_LE(static_cast<double>(pins) / 50, 2.4); // two are needed
}

TEST(SparsePins, AHeldChordNeedsNoneForTheBeatsInsideIt)
{
    ExpectedPart part = bars_of_four(2);
    std::vector<double> beats;
    for (int beat = 0; beat <= 8; ++beat)
        beats.push_back(10 + 0.6 * beat + (beat == 2 || beat == 6 ? 0.06 : 0.0)); // a tenth of a beat late
    EXPECT_EQ(sparse_pins(part, heard_at(part, beats)).size(), 2U);
    beats[6] += 0.1; // more than a quarter of a beat
    EXPECT_GT(sparse_pins(part, heard_at(part, beats)).size(), 2U);
}

// Four bars at 0.5 s a beat; the playing stops after bar 2 (8 beats: at 14 s) for 5 s.
TEST(SparsePins, NoLineRunsThroughAPause)
{
    auto const part = bars_of_four(4);
    std::vector<double> beats;
    for (int beat = 0; beat <= 16; ++beat)
        beats.push_back(10 + 0.5 * beat + (beat >= 8 ? 5.0 : 0.0));
    auto found = heard_at(part, beats);
    found.deviations = {{Deviation::Kind::pause, 8, 8, 14, 19, 0}};
    auto const pins = sparse_pins(part, found);
    ASSERT_EQ(pins.size(), 3U);
    EXPECT_EQ(pins[1].beat, 8);
    EXPECT_NEAR(pins[1].seconds, 14, 1e-9);
    ASSERT_TRUE(pins[1].goes_on);
    EXPECT_EQ(pins[1].goes_on->beat, 8);
    EXPECT_NEAR(pins[1].goes_on->seconds, 19, 1e-9);
    EXPECT_NEAR(pins[2].seconds, 23, 1e-9); // 19 + 8 * 0.5
}

TEST(SparsePins, SkippedBeatsLieInOnePin)
{
    auto const part = bars_of_four(4);
    std::vector<double> beats;
    for (int beat = 0; beat <= 16; ++beat)
        beats.push_back(10 + 0.5 * (beat <= 4 ? beat : std::max(4, beat - 8))); // bars 2 and 3 are not played
    auto found = heard_at(part, beats);
    found.deviations = {{Deviation::Kind::skipped, 4, 12, 12, 12, 0}};
    auto const pins = sparse_pins(part, found);
    ASSERT_EQ(pins.size(), 3U);
    EXPECT_EQ(pins[1].beat, 4);
    ASSERT_TRUE(pins[1].goes_on);
    EXPECT_EQ(pins[1].goes_on->beat, 12);
    EXPECT_NEAR(pins[1].goes_on->seconds, 12, 1e-9);
    EXPECT_EQ(pins[2].beat, 16);
    EXPECT_NEAR(pins[2].seconds, 14, 1e-9);
}

// A chord whose beat the strum pattern passes sounds with the next stroke; its beat stays in time.
TEST(SparsePins, AChangeBetweenStrokesBendsNoTempo)
{
    auto const part = bars_of_four(4);
    std::vector<double> beats;
    for (int beat = 0; beat <= 16; ++beat)
        beats.push_back(10 + 0.5 * beat);
    auto found = heard_at(part, beats);
    found.spans[2].seconds += 0.05;
    EXPECT_GT(sparse_pins(part, found).size(), 2U);
    found.spans[2].passed = true;
    EXPECT_EQ(sparse_pins(part, found).size(), 2U);
}

TEST(SparsePins, TheAuthorsPinsStayWhereTheyAre)
{
    auto part = bars_of_four(4);
    part.pins = {{5, 12.6}};
    std::vector<double> beats;
    for (int beat = 0; beat <= 16; ++beat)
        beats.push_back(10 + 0.5 * beat);
    auto const pins = sparse_pins(part, heard_at(part, beats));
    auto const kept = std::ranges::find(pins, 5, &BeatPin::beat);
    ASSERT_NE(kept, pins.end());
    EXPECT_DOUBLE_EQ(kept->seconds, 12.6);
}

} // namespace
} // namespace tabard::pipeline
