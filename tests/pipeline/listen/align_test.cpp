#include "pipeline/listen/align.h"
#include "tests/support/performance/conditions.h"
#include "tests/support/performance/score.h"

#include <gtest/gtest.h>

namespace tabard::test {
namespace {

// Performances are built from a packaged sound font's notes, so the truth is the time at which each note was put. The
// tolerances are those of published evaluations (mir_eval: onsets +-50 ms, beats +-70 ms).
class BuiltPerformance : public testing::Test {
protected:
    Score listen(Condition const& condition, std::uint32_t seed)
    {
        auto const take = perform(condition, m_guitar, seed);
        Score score;
        score.add(take.played, pipeline::align(pipeline::hear(take.sound), take.played.chart));
        return score;
    }

    static NoteBank guitar()
    {
        auto bank = sound_font_notes("/usr/share/sounds/sf2/TimGM6mb.sf2", 25, "steel");
        if (!bank)
            throw std::runtime_error("install timgm6mb-soundfont");
        return *std::move(bank);
    }

    NoteBank m_guitar = guitar();
};

TEST_F(BuiltPerformance, EveryChangeOfACleanSongIsFoundWithin50Milliseconds)
{
    auto const score = listen({.name = "clean", .manner = {.parts = 2}}, 42);
    EXPECT_GT(score.change_errors.size(), 12U);
    EXPECT_GE(score.within(0.05), 0.99);
    EXPECT_LE(score.quantile(0.5), 0.008);
    EXPECT_LE(score.quantile(0.9), 0.025);
    EXPECT_GE(score.mean_beat_f(), 0.98);
}

TEST_F(BuiltPerformance, AGuitarTunedThirtyCentsFlatInNoiseIsFollowed)
{
    auto const score = listen({.name = "flat", .manner = {.parts = 2}, .cents = -30, .noise_decibels = 10}, 43);
    EXPECT_GE(score.within(0.05), 0.99);
    EXPECT_GE(score.mean_beat_f(), 0.98);
}

TEST_F(BuiltPerformance, SloppyHandsAreStillFollowed)
{
    Manner const sloppy{.parts = 2, .jitter = 0.018, .drift = 0.10, .open_strings = 0.5, .missed = 0.08};
    auto const score = listen({.name = "sloppy", .manner = sloppy}, 44);
    EXPECT_GE(score.within(0.05), 0.97);
    EXPECT_GE(score.mean_beat_f(), 0.85);
}

TEST_F(BuiltPerformance, TheChartOfAnotherSongIsNotFound)
{
    auto const take = perform({.name = "clean", .manner = {.parts = 1}}, m_guitar, 45);
    pipeline::ExpectedMusic other = take.played.chart;
    for (auto& span : other[0].spans)
        for (int& tone : span.chord.tones)
            tone = (tone + 6) % 12; // a tritone away no tone of a triad stays
    for (auto& span : other[0].spans)
        span.chord.bass = (span.chord.bass + 6) % 12;
    EXPECT_TRUE(pipeline::align(pipeline::hear(take.sound), take.played.chart).parts[0].found);
    EXPECT_FALSE(pipeline::align(pipeline::hear(take.sound), other).parts[0].found);
}

} // namespace
} // namespace tabard::test
