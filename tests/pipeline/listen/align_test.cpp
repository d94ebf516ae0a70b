#include "pipeline/listen/align.h"
#include "pipeline/listen/chord_template.h"
#include "tests/support/performance/conditions.h"
#include "tests/support/performance/score.h"

#include <utility>

#include <gtest/gtest.h>

namespace tabard::tests {
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

    pipeline::Alignment listen_to(Condition const& condition, std::uint32_t seed)
    {
        auto const take = perform(condition, m_guitar, seed);
        return pipeline::align(pipeline::hear(take.sound), take.played.chart);
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
    auto other = take.played.chart;
    std::size_t step = 0;
    for (auto& span : other[0].spans)
        span.chord = pipeline::plain_triads()[(step += 7) % 24]; // fifths up: no song of this generator does that
    auto const heard = pipeline::hear(take.sound);
    auto const found = pipeline::align(heard, take.played.chart).parts[0];
    EXPECT_TRUE(found.found);
    EXPECT_GT(found.confidence, 0.8);
    auto const foreign = pipeline::align(heard, other).parts[0];
    EXPECT_TRUE(!foreign.found || foreign.confidence < 0.4) << foreign.confidence;
}

TEST_F(BuiltPerformance, ACapoOneFretTooHighIsHeardAsOneSemitoneUp)
{
    Condition condition{.name = "capo", .manner = {.parts = 2}};
    EXPECT_EQ(listen_to(condition, 46).transposition.semitones, 0);
    condition.manner.capo = 1;
    auto const heard = listen_to(condition, 46);
    EXPECT_EQ(heard.transposition.semitones, 1);
    EXPECT_TRUE(heard.parts[0].found);
}

TEST_F(BuiltPerformance, WrongChordsAreNamedAndRightOnesAreNot)
{
    auto const score = listen({.name = "wrong", .manner = {.parts = 3, .wrong = 0.2}}, 47);
    EXPECT_GE(score.wrong_played, 3);
    EXPECT_GE(score.wrong_right, 0.95 * score.wrong_played);
    EXPECT_GE(score.wrong_right, 0.95 * score.wrong_said);
}

TEST_F(BuiltPerformance, PlayingBeyondTheChartIsReportedAndSilenceIsNot)
{
    auto const take = perform({.name = "clean", .manner = {.parts = 2}}, m_guitar, 48);
    auto half = take.played.chart;
    half.pop_back();
    auto const heard = pipeline::hear(take.sound);
    EXPECT_TRUE(pipeline::align(heard, take.played.chart).stray.empty());
    auto const stray = pipeline::align(heard, half).stray;
    ASSERT_EQ(stray.size(), 1U);
    EXPECT_NEAR(stray[0].from, take.played.parts[1].beats.front(), 1.5);
    EXPECT_NEAR(stray[0].to, take.played.parts[1].beats.back(), 4.5); // the last chord rings out
}

} // namespace
} // namespace tabard::tests
