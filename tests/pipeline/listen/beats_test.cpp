#include "pipeline/listen/align.h"
#include "tests/support/performance/conditions.h"
#include "tests/support/performance/guitars.h"

#include <algorithm>
#include <stdexcept>

#include <gtest/gtest.h>

namespace tabard::tests {
namespace {

/// Every beat of every part is within 0.1 s of where it was played; a tapping foot is hardly closer.
void expect_beats_where_they_are_played(Manner manner, std::uint32_t seed)
{
    auto banks = sound_font_guitars();
    if (banks.empty())
        throw std::runtime_error("install timgm6mb-soundfont");
    manner.parts = 2;
    auto const take = perform({.name = "built", .manner = std::move(manner)}, banks.front(), seed);
    auto const found = pipeline::align(pipeline::hear(take.sound), take.played.chart);
    for (std::size_t p = 0; p < take.played.parts.size(); ++p) {
        auto const& truth = take.played.parts[p].beats;
        auto const& beats = found.parts[p].beats;
        ASSERT_EQ(beats.size(), truth.size()) << "part " << p;
        for (std::size_t n = 0; n + 1 < truth.size(); ++n)
            EXPECT_NEAR(beats[n], truth[n], 0.1) << "part " << p << " beat " << n;
    }
}

// The strums are louder than the bass note on the first beat, and nobody wrote that it is there.
TEST(Beats, OfBassAndStrumsBeginWithTheBass)
{
    Manner manner;
    manner.beats_per_bar = 3;
    manner.patterns = {"Rp D D"};
    manner.written = 0;
    expect_beats_where_they_are_played(manner, 301);
    Manner four;
    four.patterns = {"Rp D 4p D"};
    four.written = 0;
    expect_beats_where_they_are_played(four, 302);
}

TEST(Beats, FollowATempoThatSwellsAndEbbs)
{
    Manner manner;
    manner.patterns = {"D - D U D - D U"};
    manner.rubato = 0.15;
    expect_beats_where_they_are_played(manner, 303);
}

// Pins are the author's, and may make a bar half as long and the next twice as long as anybody plays it.
TEST(Beats, GoThroughPinsWhateverTempoTheyMake)
{
    auto banks = sound_font_guitars();
    ASSERT_FALSE(banks.empty());
    auto take = perform({.name = "built", .manner = {.parts = 1}}, banks.front(), 305);
    auto& part = take.played.chart.front();
    auto const& truth = take.played.parts.front().beats;
    double const beat = truth[1] - truth[0];
    part.pins = {{.beat = 0, .seconds = truth[0]},
                 {.beat = 8, .seconds = truth[0] + 4 * beat},
                 {.beat = 12, .seconds = truth[0] + 12 * beat},
                 {.beat = 16, .seconds = truth[0] + 12.5 * beat}};
    auto const found = pipeline::align(pipeline::hear(take.sound), take.played.chart).parts.front();
    ASSERT_EQ(found.beats.size(), truth.size());
    EXPECT_TRUE(std::ranges::is_sorted(found.beats));
    for (auto const& pin : part.pins)
        EXPECT_NEAR(found.beats[static_cast<std::size_t>(pin.beat)], pin.seconds, 0.05) << "beat " << pin.beat;
}

} // namespace
} // namespace tabard::tests
