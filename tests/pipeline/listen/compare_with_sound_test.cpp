#include "pipeline/listen/compare_with_sound.h"
#include "pipeline/listen/listen_codes.h"
#include "tests/pipeline/listen/built_lesson.h"
#include "tests/support/paths.h"

#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <cstring>
#include <fstream>
#include <sstream>
#include <string>
#include <string_view>
#include <vector>

#include <fmt/format.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace tabard::tests {
namespace {

using testing::ElementsAre;
using testing::HasSubstr;
using testing::IsEmpty;

/// After `before` stands what many cues are off by, right to 5 ms.
MATCHER_P2(SaysMilliseconds, before, truth, "")
{
    auto const at = arg.find(before);
    return at != std::string::npos && std::abs(std::atof(arg.c_str() + at + std::strlen(before)) - truth) <= 5;
}

class ComparedLesson : public BuiltLesson {
protected:
    std::vector<pipeline::Finding> findings(std::string const& lesson)
    {
        return pipeline::compare_with_sound(lesson_of(lesson), heard);
    }
    /// What is found where the song's ends are pinned so; it begins at 5 s and its 32 beats last 0.6 s each.
    std::vector<std::string> found(char const* first, char const* last)
    {
        std::vector<std::string> words;
        for (auto const& finding :
             findings(text(first, fmt::format(R"(, "pins": [["1.1", "{}"], ["9.1", "{}"]])", first, last))))
            words.push_back(finding.code + ": " + finding.what);
        return words;
    }

    pipeline::Hearing heard = pipeline::hear(sound);
};

// ITU-R BT.1359-1: a picture is noticed from 45 ms late and from 125 ms early on. What a whole part has in common is
// said from half of the early limit on.
TEST_F(ComparedLesson, WhatAViewerWouldNoticeIsFoundAndWhatIsRightIsNot)
{
    EXPECT_THAT(found("0:05.000", "0:24.200"), IsEmpty());
    EXPECT_THAT(found("0:04.970", "0:24.170"), IsEmpty()) << "a lead of 30 ms is usual";
    EXPECT_THAT(found("0:05.030", "0:24.230"), IsEmpty());
    EXPECT_THAT(found("0:05.080", "0:24.280"), ElementsAre(SaysMilliseconds("cue-off-sound: Song is shown ", 80)));
    EXPECT_THAT(found("0:04.920", "0:24.120"), ElementsAre(HasSubstr("before it is played")));
    EXPECT_THAT(found("0:04.870", "0:24.070"), ElementsAre(HasSubstr("before it is played")));
}

// Strummed on every beat, a chart that lies half a beat or a beat off has strokes where it wants some: the chords tell.
TEST_F(ComparedLesson, HalfABeatAndABeatAreFound)
{
    EXPECT_THAT(found("0:05.300", "0:24.500"), ElementsAre(SaysMilliseconds("Song is shown ", 300)));
    EXPECT_THAT(found("0:04.700", "0:23.900"), ElementsAre(HasSubstr("before it is played")));
    EXPECT_THAT(found("0:05.600", "0:24.800"), ElementsAre(SaysMilliseconds("Song is shown ", 600)));
    EXPECT_THAT(found("0:04.400", "0:23.600"), ElementsAre(HasSubstr("before it is played")));
}

TEST_F(ComparedLesson, APartThatLiesSecondsOffIsSaidToWithItsRightPlace)
{
    auto const all = findings(text("0:08.2", R"(, "pins": [["1.1", "0:08.200"], ["9.1", "0:27.400"]])"));
    ASSERT_FALSE(all.empty());
    EXPECT_EQ(all.front().code, "cue-off-sound");
    EXPECT_THAT(all.front().what, HasSubstr("3.2 s after it is played"));
    EXPECT_THAT(all.front().fix, HasSubstr("tabard listen"));
}

// From bar 5 on the chart lies a beat late, as where a beat was left out and nobody noticed.
TEST_F(ComparedLesson, NeighboursThatAreOffByAsMuchAreOneFinding)
{
    auto const all = findings(text(
        "0:05", R"(, "pins": [["1.1", "0:05.000"], ["4.4", "0:14.000"], ["5.1", "0:15.200"], ["9.1", "0:24.800"]])"));
    ASSERT_EQ(all.size(), 1U);
    EXPECT_EQ(all[0].code, "cue-off-sound");
    EXPECT_THAT(all[0].what, SaysMilliseconds("C in bar 5 of Song and the next 4 changes are shown ", 600));
    EXPECT_THAT(all[0].fix, HasSubstr("[\"5.1\", \"0:14.6"));
}

// For each code a lesson that shows it once and nothing else, and a neighbour that shows nothing.
TEST_F(ComparedLesson, ShowsEachCodeOnceAndNothingInItsNeighbour)
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
    std::string const rest =
        R"({"name": "Rest", "bars": "C | C | Am | Am | F | G | C | C", "pins": [["1.1", "0:14.600"], ["9.1", "0:24.200"]]},)";
    std::vector<Pair> const pairs{
        {pipeline::kCueOffSound, lesson(kBars, fmt::format(kFifthBar, "14.770")),
         lesson(kBars, fmt::format(kFifthBar, "14.630"))},
        {pipeline::kChordNotAsWritten, lesson("C | Am | F | E | C | Am | F / G / | C", kPins), lesson(kBars, kPins)},
        // One chord, and the part before it ends with the same one: the strokes on the beats may be any of them.
        {pipeline::kCuesNotJudged,
         lesson("C | C | Am | Am | F | F | G", R"(["1.1", "0:05.000"], ["8.1", "0:13.400"])", R"("meter": "2/4",)",
                R"({"name": "One", "bars": "G", "pins": [["1.1", "0:13.400"], ["2.1", "0:14.600"]]},)" + rest),
         lesson("C | C | Am | Am | F | F | G | G", R"(["1.1", "0:05.000"], ["9.1", "0:14.600"])", R"("meter": "2/4",)",
                rest)},
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
TEST_F(ComparedLesson, APartThatIsPlayedOwesChordsUnlessItIsATalk)
{
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

} // namespace
} // namespace tabard::tests
