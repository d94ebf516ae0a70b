#include "pipeline/listen/propose_sections.h"
#include "tests/support/performance/conditions.h"
#include "tests/support/performance/room.h"

#include <algorithm>
#include <span>
#include <vector>

#include <gtest/gtest.h>

namespace tabard::tests {
namespace {

TEST(ProposeSections, TalkAndTwoPlayedPartsAreToldApart)
{
    auto guitar = sound_font_notes("/usr/share/sounds/sf2/TimGM6mb.sf2", 25, "steel");
    ASSERT_TRUE(guitar);
    Condition const lesson{.name = "lesson", .manner = {.parts = 2, .gap = 14}, .talk_between = true};
    auto const take = perform(lesson, *guitar, 71);
    auto const duration = pipeline::from_seconds(static_cast<double>(take.sound.size()) / kSampleRate);
    auto const sections = pipeline::propose_sections(pipeline::hear(take.sound), duration);

    std::vector<pipeline::StarterSection> played;
    std::ranges::copy_if(sections, std::back_inserter(played), &pipeline::StarterSection::played);
    ASSERT_EQ(played.size(), 2U);
    for (std::size_t n = 0; n < 2; ++n) {
        auto const& truth = take.played.parts[n].beats;
        EXPECT_NEAR(pipeline::to_seconds(played[n].from), truth.front(), 2.5) << n;
        EXPECT_GT(pipeline::to_seconds(played[n].to), truth.back() - 1) << n;
        ASSERT_TRUE(played[n].tempo) << n;
        // A proposed tempo may be half or twice the player's: tapping along has that doubt too.
        double const beat = (truth.back() - truth.front()) / static_cast<double>(truth.size() - 1);
        double const ratio = 60'000 / (static_cast<double>(played[n].tempo->thousandths) * beat);
        EXPECT_TRUE(std::abs(ratio - 1) < 0.04 || std::abs(ratio - 2) < 0.08 || std::abs(ratio - 0.5) < 0.02) << ratio;
    }
    EXPECT_EQ(sections.front().from, pipeline::Time{0});
    EXPECT_EQ(sections.back().to, duration);
    for (std::size_t n = 1; n < sections.size(); ++n)
        EXPECT_EQ(sections[n].from, sections[n - 1].to);
}

TEST(ProposeSections, SoundHeardInPassingSaysWhatTheWholeSays)
{
    auto guitar = sound_font_notes("/usr/share/sounds/sf2/TimGM6mb.sf2", 25, "steel");
    ASSERT_TRUE(guitar);
    auto const take = perform({.name = "short", .manner = {.parts = 1}}, *guitar, 72);
    auto const whole = pipeline::hear(take.sound);
    for (std::size_t const block : {std::size_t{997}, std::size_t{4096}, take.sound.size()}) {
        pipeline::Listener listener;
        std::span const sound{take.sound};
        for (std::size_t at = 0; at < sound.size(); at += block)
            listener.add(sound.subspan(at, std::min(block, sound.size() - at)));
        auto const passing = listener.finish();
        EXPECT_EQ(passing.tuning, whole.tuning);
        EXPECT_EQ(passing.levels, whole.levels);
        EXPECT_EQ(passing.silent, whole.silent);
        EXPECT_EQ(passing.novelty, whole.novelty);
        EXPECT_EQ(passing.rises, whole.rises);
        ASSERT_EQ(passing.chroma.size(), whole.chroma.size());
        for (std::size_t n = 0; n < whole.chroma.size(); ++n) {
            ASSERT_EQ(passing.chroma[n].treble, whole.chroma[n].treble) << n;
            ASSERT_EQ(passing.chroma[n].bass, whole.chroma[n].bass) << n;
        }
        EXPECT_EQ(passing.seconds(), whole.seconds());
    }
    // One value a hop, and one for the end: what a spectrum of the whole sound at once would have.
    EXPECT_EQ(whole.levels.size(), take.sound.size() / pipeline::kChromaHop + 1);
}

TEST(ProposeSections, SilenceProposesNothing)
{
    std::vector<float> const silence(20 * kSampleRate, 0.0F);
    EXPECT_TRUE(pipeline::propose_sections(pipeline::hear(silence), pipeline::from_seconds(20)).empty());
}

} // namespace
} // namespace tabard::tests
