#include "pipeline/cues/reader.h"
#include "pipeline/cues/writer.h"
#include "pipeline/listen/compare_with_sound.h"
#include "pipeline/listen/heard_document.h"
#include "pipeline/listen/lesson_music.h"
#include "pipeline/listen/listen.h"
#include "pipeline/listen/rise_start.h"
#include "tests/pipeline/listen/built_lesson.h"
#include "tests/support/performance/conditions.h"
#include "tests/support/performance/guitars.h"

#include <algorithm>
#include <random>
#include <string>
#include <vector>

#include <fmt/format.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace tabard::tests {
namespace {

using testing::ElementsAre;

// C E G and its bass are pitch classes 0 4 7; a capo at 4 raises them to E G# B: 4 8 11.
TEST(LessonMusic, ChordNamesAreTheHandsAndTheCapoIsAdded)
{
    auto const lesson = lesson_of(R"({"tabard": 1, "title": "t", "footage": "f.mp4", "capo": 4, "tempo": 60,
        "sections": [{"name": "A", "from": "0:10", "bars": "C | C/G / N.C. /"}]})");
    auto const music = pipeline::lesson_music(lesson, pipeline::Places::as_written);
    ASSERT_EQ(music.parts.size(), 1U);
    auto const& spans = music.parts[0].spans;
    ASSERT_EQ(spans.size(), 3U);
    EXPECT_THAT(spans[0].chord.tones, ElementsAre(4, 8, 11));
    EXPECT_EQ(spans[0].chord.bass, 4);
    EXPECT_EQ(spans[1].chord.bass, 11); // G + 4
    EXPECT_TRUE(spans[2].chord.silent());
    EXPECT_EQ(spans[2].first_beat, 6);
    EXPECT_DOUBLE_EQ(music.parts[0].beat_seconds, 1.0); // 60 a minute
    EXPECT_DOUBLE_EQ(music.parts[0].about.value(), 10.0);
}

TEST(LessonMusic, InSixEightTheBeatIsTheGroupOfThree)
{
    auto const lesson = lesson_of(R"({"tabard": 1, "title": "t", "footage": "f.mp4", "meter": "6/8", "tempo": 60,
        "sections": [{"name": "A", "from": "0:10", "bars": "C | F"}]})");
    auto const music = pipeline::lesson_music(lesson, pipeline::Places::as_written);
    EXPECT_EQ(music.parts[0].beats(), 4);
    EXPECT_EQ(music.parts[0].beats_per_bar, 2);
    EXPECT_DOUBLE_EQ(music.parts[0].beat_seconds, 1.0);
    EXPECT_EQ(music.origins[0].position(2, {6, 8}).text(), (pipeline::BarPosition{2, 1, 0}.text()));
}

// "1.3" leaves two of bar 1's four quarters; "1.4" one of its two groups of eighths, "1.3" four of its six eighths.
TEST(LessonMusic, APieceMayBeginInsideABar)
{
    auto const part_of = [](std::string const& meter, std::string const& bars, std::string const& from_bar) {
        auto const lesson = lesson_of(fmt::format(
            R"({{"tabard": 1, "title": "t", "footage": "f.mp4", "meter": "{}", "tempo": 60, "sections": [{{"name": "A",
            "from": "0:10", "to": "0:20", "bars": "{}", "piece": {{"from_bar": "{}", "number": 2}}}}]}})",
            meter, bars, from_bar));
        auto music = pipeline::lesson_music(lesson, pipeline::Places::as_written);
        EXPECT_THAT(music.remarks, testing::IsEmpty());
        return music;
    };
    auto const common = part_of("4/4", "C / / Am | F", "1.3");
    ASSERT_EQ(common.parts.size(), 1U);
    EXPECT_THAT(common.origins[0].names, ElementsAre("C", "Am", "F"));
    EXPECT_EQ(common.parts[0].spans[0].beats, 1);
    EXPECT_EQ(common.parts[0].spans[1].first_beat, 1);
    EXPECT_EQ(common.parts[0].beats(), 6);
    EXPECT_EQ(common.parts[0].first_in_bar, 2);
    EXPECT_EQ(common.origins[0].position(2, {4, 4}).text(), (pipeline::BarPosition{2, 1, 0}.text()));
    EXPECT_DOUBLE_EQ(common.parts[0].about.value(), 10.0);

    auto const second_group = part_of("6/8", "C | F", "1.4");
    EXPECT_EQ(second_group.parts[0].beats(), 3); // groups of three
    EXPECT_EQ(second_group.parts[0].first_in_bar, 1);
    auto const inside_group = part_of("6/8", "C | F", "1.3");
    EXPECT_EQ(inside_group.parts[0].beats(), 10); // eighths
}

TEST_F(BuiltLesson, RoughTimesBecomePinsThatPutEveryChordOnItsStroke)
{
    auto const rough = text("0:06.4");
    auto const lesson = lesson_of(rough);
    auto const heard = pipeline::listen(lesson, pipeline::hear(sound));
    ASSERT_EQ(heard.sections.size(), 1U);
    EXPECT_TRUE(heard.sections[0].trusted());
    EXPECT_NEAR(static_cast<double>(heard.sections[0].tempo.thousandths), 100'000, 700);
    auto const written =
        pipeline::document_text(pipeline::with_heard_pins(*pipeline::parse_document(rough), lesson, heard));
    EXPECT_THAT(written, testing::HasSubstr("keep me"));
    EXPECT_THAT(written, testing::HasSubstr("\"mine\": 7"));

    auto const timed = lesson_of(written);
    EXPECT_LE(timed.sections[0].pins.size(), 4U);
    auto const findings = pipeline::compare_with_sound(timed, pipeline::hear(sound));
    EXPECT_THAT(findings, testing::IsEmpty()) << findings[0].what;
    // Bar 2 begins four beats of 0.6 s after 5 s.
    EXPECT_NEAR(pipeline::to_seconds(heard.sections[0].changes[1].time), 7.4, 0.02);
}

// The first string of each stroke is known: strums of 10 to 40 ms by three guitars, sought from 10 ms before to 25 ms
// after it. What compare_with_sound() takes for the error of one stroke is measured here.
TEST(StrokeOnset, IsFoundFromEightMillisecondsBeforeToTwentyAfterTheFirstString)
{
    Condition const clean = conditions()[0];
    std::vector<double> errors;
    std::mt19937 random(1);
    std::uniform_real_distribution<double> off(-0.010, 0.025);
    for (NoteBank& bank : sound_font_guitars()) {
        Take const take = perform(clean, bank, 77);
        pipeline::RiseMeter meter;
        meter.add(take.sound);
        auto const rises = meter.finish();
        for (PlayedPart const& part : take.played.parts)
            for (double const start : part.span_starts)
                errors.push_back(1000 * (pipeline::start_of_rise(rises, start + off(random)) - start));
    }
    ASSERT_GT(errors.size(), 50U);
    std::ranges::sort(errors);
    EXPECT_GT(errors[errors.size() / 20], -9);
    EXPECT_NEAR(errors[errors.size() / 2], 0, 4);
    EXPECT_LT(errors[errors.size() * 19 / 20], 22);
}

// "from" without a tempo says where to look: the song lies 5 s after the film's start and not near its end.
TEST(LessonMusic, APartWithATimeAndNoTempoIsLookedForAroundItsTime)
{
    pipeline::LessonReadOptions untimed;
    untimed.charts = pipeline::Charts::untimed;
    auto const lesson = *pipeline::parse_lesson(R"({"tabard": 1, "title": "t", "footage": "f.mp4",
"sections": [{"name": "A", "from": "0:10", "bars": "C | F"}]})",
                                                "cues.json", untimed)
                             .lesson;
    EXPECT_DOUBLE_EQ(pipeline::lesson_music(lesson, pipeline::Places::as_written).parts.at(0).about.value(), 10.0);
    EXPECT_FALSE(pipeline::lesson_music(lesson, pipeline::Places::anywhere).parts.at(0).about);
}

TEST_F(BuiltLesson, AnAuthorsPinIsKeptToTheMillisecond)
{
    auto const lesson = lesson_of(text("0:05.000", R"(, "pins": [["5.1", "0:14.650"]])"));
    auto const heard = pipeline::listen(lesson, pipeline::hear(sound));
    auto const& pins = heard.sections.at(0).pins;
    auto const kept = std::ranges::find(pins, pipeline::BarPosition{5, 1, 0}, &pipeline::Pin::position);
    ASSERT_NE(kept, pins.end());
    EXPECT_EQ(kept->time, pipeline::from_ticks(14'650, 1, 1000));
}

// A cut has left the song from the third beat of bar 3 on, which is beat 10 after 5 s.
TEST_F(BuiltLesson, APieceThatBeginsInsideABarIsHeard)
{
    auto const lesson = lesson_of(text("0:11.300", R"(, "to": "0:24.2", "piece": {"from_bar": "3.3", "number": 2})"));
    auto const heard = pipeline::listen(lesson, pipeline::hear(sound));
    ASSERT_EQ(heard.sections.size(), 1U);
    EXPECT_TRUE(heard.sections[0].trusted());
    EXPECT_EQ(heard.sections[0].pins.front().position, (pipeline::BarPosition{3, 3, 0}));
    EXPECT_NEAR(pipeline::to_seconds(heard.sections[0].changes[1].time), 5 + 12 * 0.6, 0.02); // G of bar 4
}

} // namespace
} // namespace tabard::tests
