#include "pipeline/listen/propose_sections.h"
#include "tests/support/performance/conditions.h"
#include "tests/support/performance/room.h"
#include "tests/support/performance/staged_lesson.h"

#include <algorithm>
#include <cstdint>
#include <span>
#include <string_view>
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

/// What is proposed where most of a stretch lies.
pipeline::StarterSection const* at_middle(std::vector<pipeline::StarterSection> const& sections,
                                          StagedStretch const& stretch)
{
    auto const middle = pipeline::from_seconds((stretch.from + stretch.to) / 2);
    auto const found = std::ranges::find_if(
        sections, [&](pipeline::StarterSection const& each) { return each.from <= middle && middle < each.to; });
    return found == sections.end() ? nullptr : &*found;
}

std::vector<pipeline::StarterSection> proposed(StagedLesson const& lesson)
{
    return pipeline::propose_sections(pipeline::hear(lesson.sound),
                                      pipeline::from_seconds(static_cast<double>(lesson.sound.size()) / kSampleRate));
}

PlayingKind kind_called(std::string_view name)
{
    auto const kinds = evaluation_kinds();
    return *std::ranges::find(kinds, name, &PlayingKind::name);
}

// A slow tempo is not doubled, a dotted pulse not taken for a plain one: right, or nothing is said.
TEST(ProposeSections, NoTempoIsHalfOrDoubleOrHalfAsMuchAgain)
{
    auto guitar = sound_font_notes("/usr/share/sounds/sf2/TimGM6mb.sf2", 25, "steel");
    ASSERT_TRUE(guitar);
    for (char const* name : {"eighths, slow", "eighths", "swing", "6/8"}) {
        auto const lesson = stage_lesson(kind_called(name), {.parts = 2}, *guitar, 910'003);
        auto const sections = proposed(lesson);
        int said = 0;
        for (StagedStretch const& stretch : lesson.stretches) {
            if (!stretch.played)
                continue;
            auto const* const found = at_middle(sections, stretch);
            ASSERT_NE(found, nullptr) << name;
            EXPECT_TRUE(found->played) << name;
            if (!found->tempo)
                continue;
            ++said;
            EXPECT_NEAR(static_cast<double>(found->tempo->thousandths) / 1000, stretch.tempo, 0.04 * stretch.tempo)
                << name;
            if (found->meter) {
                EXPECT_EQ(*found->meter, lesson.meter) << name;
            }
        }
        EXPECT_GT(said, 0) << name;
    }
}

TEST(ProposeSections, ThreeSecondsOfTalkAtTheEndAreFound)
{
    auto guitar = sound_font_notes("/usr/share/sounds/sf2/TimGM6mb.sf2", 25, "steel");
    ASSERT_TRUE(guitar);
    for (std::uint32_t const seed : {910'100U, 910'101U, 910'102U}) {
        auto const lesson = stage_lesson(kind_called("eighths"), {.parts = 1, .closing = 3}, *guitar, seed);
        auto const sections = proposed(lesson);
        ASSERT_FALSE(sections.empty());
        EXPECT_FALSE(sections.back().played) << seed;
        EXPECT_NEAR(pipeline::to_seconds(sections.back().from), lesson.stretches.back().from, 2) << seed;
    }
}

TEST(ProposeSections, ARestOfThreeSecondsDividesParts)
{
    auto guitar = sound_font_notes("/usr/share/sounds/sf2/TimGM6mb.sf2", 25, "steel");
    ASSERT_TRUE(guitar);
    auto const lesson = stage_lesson(
        kind_called("eighths"), {.parts = 2, .opening = 0, .between = 0, .closing = 0, .breath = 3}, *guitar, 910'200);
    auto const sections = proposed(lesson);
    ASSERT_EQ(sections.size(), 2U);
    EXPECT_TRUE(sections[0].played);
    EXPECT_TRUE(sections[1].played);
    EXPECT_NEAR(pipeline::to_seconds(sections[1].from), lesson.stretches[1].from, 0.2);
}

TEST(ProposeSections, SilenceProposesNothing)
{
    std::vector<float> const silence(20 * kSampleRate, 0.0F);
    EXPECT_TRUE(pipeline::propose_sections(pipeline::hear(silence), pipeline::from_seconds(20)).empty());
}

} // namespace
} // namespace tabard::tests
