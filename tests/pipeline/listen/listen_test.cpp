#include "pipeline/cues/reader.h"
#include "pipeline/cues/writer.h"
#include "pipeline/listen/heard_document.h"
#include "pipeline/listen/lesson_music.h"
#include "pipeline/listen/listen_codes.h"
#include "pipeline/listen/onset_refinement.h"
#include "tests/support/paths.h"
#include "tests/support/performance/conditions.h"
#include "tests/support/performance/guitars.h"

#include <algorithm>
#include <fstream>
#include <random>
#include <sstream>
#include <string>
#include <string_view>
#include <vector>

#include <fmt/format.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace tabard::tests {
namespace {

using pipeline::parse_lesson;
using testing::ElementsAre;

pipeline::Lesson lesson_of(std::string const& text)
{
    auto reading = parse_lesson(text, "lesson.json");
    EXPECT_TRUE(reading.usable()) << (reading.findings.empty() ? "" : reading.findings[0].what);
    return *reading.lesson;
}

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

/// A lesson of a built song: rough times, then the truth to compare with.
class BuiltLesson : public testing::Test {
protected:
    static constexpr auto kBars = "C | Am | F | G | C | Am | F / G / | C";

    BuiltLesson()
    {
        auto bank = sound_font_notes("/usr/share/sounds/sf2/TimGM6mb.sf2", 25, "steel");
        if (!bank)
            throw std::runtime_error("install timgm6mb-soundfont");
        // A steady strum on every beat, 100 a minute, from 5.0 s: frets of x32010, x02210, 133211, 320003.
        std::vector<std::vector<int>> const shapes{
            {48, 52, 55, 60, 64}, {45, 52, 57, 60, 64}, {41, 48, 53, 57, 60, 65}, {43, 47, 50, 55, 59, 67}};
        std::vector<int> const beats{0, 0, 0, 0, 1, 1, 1, 1, 2, 2, 2, 2, 3, 3, 3, 3,
                                     0, 0, 0, 0, 1, 1, 1, 1, 2, 2, 3, 3, 0, 0, 0, 0};
        Performance song;
        for (std::size_t beat = 0; beat < beats.size(); ++beat) {
            auto const& notes = shapes[static_cast<std::size_t>(beats[beat])];
            for (std::size_t n = 0; n < notes.size(); ++n)
                song.strikes.push_back({5 + 0.6 * static_cast<double>(beat) + 0.005 * static_cast<double>(n),
                                        static_cast<int>(n), notes[n], 0.8F});
        }
        song.seconds = 27;
        sound = play(song, *bank);
    }

    static std::string text(std::string const& from, std::string const& more = "")
    {
        return fmt::format(R"({{"tabard": 1, "title": "t", "footage": "f.mp4", "tempo": 96, "mine": 7,
  "sections": [{{"name": "Song", "note": "keep me", "from": "{}", "bars": "{}"{}}}]}})",
                           from, kBars, more);
    }

    std::vector<float> sound;
};

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

// ITU-R BT.1359-1: a picture is noticed from 45 ms late and from 125 ms early on.
TEST_F(BuiltLesson, CuesThatAViewerWouldNoticeAreFoundAndOthersAreNot)
{
    auto const heard = pipeline::hear(sound);
    auto const findings = [&](char const* first, char const* last) {
        auto const lesson =
            lesson_of(text(first, fmt::format(R"(, "pins": [["1.1", "{}"], ["9.1", "{}"]])", first, last)));
        return pipeline::compare_with_sound(lesson, heard).size();
    };
    EXPECT_EQ(findings("0:05.000", "0:24.200"), 0U); // 32 beats of 0.6 s
    EXPECT_EQ(findings("0:05.040", "0:24.240"), 0U);
    EXPECT_EQ(findings("0:04.900", "0:24.100"), 0U) << "100 ms early";
    EXPECT_EQ(findings("0:05.050", "0:24.250"), 9U) << "all of its changes, 50 ms late";
    EXPECT_EQ(findings("0:04.870", "0:24.070"), 9U) << "130 ms early";
}

// The first string of each stroke is known: strums of 10 to 40 ms by three guitars, sought from 10 ms before to 25 ms
// after it. What compare_with_sound() says of the error of one stroke is measured here.
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

// For each code a lesson that shows it once and nothing else, and a neighbour that shows nothing.
TEST_F(BuiltLesson, ShowsEachCodeOnceAndNothingInItsNeighbour)
{
    struct Pair {
        pipeline::FindingCode code;
        std::string bad;
        std::string good;
    };
    auto const lesson = [](std::string_view bars, std::string_view pins, std::string_view top = "",
                           std::string_view before = "") {
        return fmt::format(R"({{"tabard": 1, "title": "t", "footage": "f.mp4", "tempo": 96, {}
  "sections": [{}{{"name": "Song", "bars": "{}", "pins": [{}]}}]}})",
                           top, before, bars, pins);
    };
    // A beat is 0.6 s and bar 1 begins at 5 s.
    constexpr auto kPins = R"(["1.1", "0:05.000"], ["9.1", "0:24.200"])";
    constexpr auto kFifthBar =
        R"(["1.1", "0:05.000"], ["4.1", "0:12.200"], ["5.1", "0:{}"], ["6.1", "0:17.000"], ["9.1", "0:24.200"])";
    std::vector<Pair> const pairs{
        {pipeline::kCueOffSound, lesson(kBars, fmt::format(kFifthBar, "14.700")),
         lesson(kBars, fmt::format(kFifthBar, "14.630"))},
        {pipeline::kChordNotAsWritten, lesson("C | Am | F | E | C | Am | F / G / | C", kPins), lesson(kBars, kPins)},
        // Nobody plays in the first five seconds.
        {pipeline::kPartNotHeard,
         lesson(kBars, kPins, "", R"({"name": "Opening", "from": "0:00", "to": "0:05", "bars": "E | B"},)"),
         lesson(kBars, kPins, "", R"({"name": "Opening", "from": "0:00", "to": "0:05", "text": "Hello"},)")},
        {pipeline::kCapoNotAsHeard, lesson(kBars, kPins, R"("capo": 1,)"), lesson(kBars, kPins, R"("capo": 0,)")},
        {pipeline::kPlayedWithoutChords,
         lesson("C | Am | F | G | C", R"(["1.1", "0:05.000"], ["6.1", "0:17.000"])", "",
                R"({"name": "Coda", "from": "0:17"},)"),
         lesson("C | Am | F | G | C", R"(["1.1", "0:05.000"], ["6.1", "0:17.000"])", "",
                R"({"name": "Coda", "from": "0:17", "show": [{"chord": "Am", "from": "0:17"}]},)")},
        {pipeline::kUnexpectedPlaying, lesson("C | Am | F | G | C", R"(["1.1", "0:05.000"], ["6.1", "0:17.000"])"),
         lesson(kBars, kPins)},
    };
    auto const heard = pipeline::hear(sound);
    auto const codes_of = [&](std::string const& text) {
        std::vector<std::string> codes;
        for (auto const& finding : pipeline::compare_with_sound(lesson_of(text), heard)) {
            codes.push_back(finding.code);
            EXPECT_GT(finding.at.line, 0);
            EXPECT_FALSE(finding.fix.empty());
        }
        return codes;
    };
    for (pipeline::FindingCode const& code : pipeline::listen_codes()) {
        auto const pair = std::ranges::find(pairs, code.code, [](Pair const& one) { return one.code.code; });
        ASSERT_NE(pair, pairs.end()) << code.code << " has no pair";
        EXPECT_THAT(codes_of(pair->bad), ElementsAre(code.code));
        EXPECT_THAT(codes_of(pair->good), testing::IsEmpty()) << code.code;
    }
}

// 0:17 to 0:24 is played. A talk may be played in: whoever calls a part so does not owe its chords.
TEST_F(BuiltLesson, APartThatIsPlayedOwesChordsUnlessItIsATalk)
{
    auto const heard = pipeline::hear(sound);
    auto const found = [&](std::string const& name) {
        auto const lesson = lesson_of(fmt::format(R"({{"tabard": 1, "title": "t", "footage": "f.mp4", "tempo": 100,
"sections": [{{"name": "Song", "bars": "C | Am | F | G | C", "pins": [["1.1", "0:05.000"], ["6.1", "0:17.000"]]}},
{{"name": "{}", "from": "0:17"}}]}})",
                                                  name));
        auto const findings = pipeline::compare_with_sound(lesson, heard);
        EXPECT_EQ(findings.size(), 1U);
        return findings.empty() ? pipeline::Finding{} : findings.front();
    };
    auto const part = found("Part 2");
    EXPECT_EQ(part.code, "played-without-chords");
    EXPECT_EQ(part.at.line, 3);
    EXPECT_THAT(part.what, testing::HasSubstr("the part 'Part 2' has no chords"));
    EXPECT_THAT(part.fix, testing::HasSubstr("\"bars\""));
    EXPECT_EQ(found("Talk 2").code, "unexpected-playing");
    EXPECT_EQ(found("talking").code, "unexpected-playing");
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

TEST(ListenCodes, HaveWordsForPeopleAndARowInTheTableOfCodes)
{
    std::ifstream file(tests::source_folder() / "pipeline/check/README.md");
    auto const table = (std::stringstream() << file.rdbuf()).str();
    for (pipeline::FindingCode const& code : pipeline::listen_codes()) {
        EXPECT_GT(code.title.size(), 10U);
        EXPECT_TRUE(code.explanation.size() > 30 && code.explanation.ends_with(".")) << "whole sentences";
        EXPECT_EQ(code.code.find_first_not_of("abcdefghijklmnopqrstuvwxyz-"), std::string_view::npos);
        EXPECT_THAT(table, testing::HasSubstr(fmt::format("| `{}` | {} | {} |", code.code,
                                                          pipeline::severity_name(code.severity), code.title)));
    }
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
