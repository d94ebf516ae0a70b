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
        auto const pins = sparse_pins(part, heard_at(part, beats), 0.015, 0.045);
        EXPECT_LT(pins.size(), 33U) << seed; // fewer than one every other beat
        for (int beat = 0; beat <= 64; ++beat)
            EXPECT_NEAR(time_between_pins(pins, beat), beats[static_cast<std::size_t>(beat)],
                        beat % 4 == 0 ? 0.0151 : 0.0451)
                << seed << " " << beat;
    }
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
