#include "pipeline/cues/chart.h"

#include <string>
#include <string_view>
#include <vector>

#include <fmt/format.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace tabard::pipeline {
namespace {

constexpr overlay::Meter kFour{4, 4};

/// The bars as played, a chord and its beats each: "C4|G/B4".
std::string played(Chart const& chart)
{
    std::string text;
    for (int bar = 1; bar <= chart.bars(); ++bar) {
        text += bar == 1 ? "" : "|";
        for (ChartChord const& chord : chart.bar(bar).chords)
            text += fmt::format("{}{}{} ", chord.held ? "~" : "", chord.name.empty() ? "-" : chord.name, chord.beats);
        text.pop_back();
    }
    return text;
}

std::string played(std::string_view text, overlay::Meter meter = kFour)
{
    ChartReading const reading = parse_chart(text, meter);
    for (Finding const& finding : reading.findings)
        ADD_FAILURE() << finding.what;
    return played(reading.chart);
}

/// "code@column" of each finding.
std::vector<std::string> problems(std::string_view text, overlay::Meter meter = kFour)
{
    std::vector<std::string> found;
    for (Finding const& finding : parse_chart(text, meter).findings)
        found.push_back(fmt::format("{}@{}", finding.code, finding.at.column));
    return found;
}

using testing::ElementsAre;

TEST(Chart, AChordAloneFillsItsBarAndASlashIsOneMoreBeat)
{
    EXPECT_EQ(played("C | G/B | Fmaj7 / C / | Am7 / / G"), "C4|G/B4|Fmaj72 C2|Am73 G1");
    EXPECT_EQ(played("|C|G|"), "C4|G4");
    EXPECT_EQ(played("C // G"), "C3 G1");
}

TEST(Chart, ASlashAtTheBarLineHoldsTheChordOfTheBarBefore) { EXPECT_EQ(played("C | / / F / | /"), "C4|~C2 F2|~F4"); }

TEST(Chart, ASimileBarPlaysTheBarBeforeAgain)
{
    EXPECT_EQ(played("C / G / | % | %"), "C2 G2|C2 G2|C2 G2");
    auto const chart = parse_chart("C | %", kFour).chart;
    EXPECT_FALSE(chart.written[0].simile);
    EXPECT_TRUE(chart.written[1].simile);
}

TEST(Chart, NoChordIsSaidByItsSign) { EXPECT_EQ(played("N.C. | C / N.C. /"), "-4|C2 -2"); }

TEST(Chart, RepeatsAreExpandedForTheFilmAndKeptForPaper)
{
    EXPECT_EQ(played("|: C | G :| F"), "C4|G4|C4|G4|F4");
    EXPECT_EQ(played("Am |: C :| x3 F"), "Am4|C4|C4|C4|F4");
    EXPECT_EQ(played("|: C :|: G :| x3"), "C4|C4|G4|G4|G4");
    EXPECT_EQ(played("C | G :|"), "C4|G4|C4|G4") << "without an opening sign the repeat goes back to the beginning";
    auto const chart = parse_chart("|: C | G :| x3 F", kFour).chart;
    EXPECT_EQ(chart.written.size(), 3U);
    EXPECT_TRUE(chart.written[0].opens_repeat);
    EXPECT_EQ(chart.written[1].closes_repeat, 3);
    EXPECT_EQ(chart.bars(), 7);
    auto const two = parse_chart("|: C :|: G :|", kFour).chart;
    EXPECT_TRUE(two.written[1].opens_repeat) << "one sign closes a repeat and opens the next";
}

// Signs of one bar line may stand apart, as where a line of the chart ends and the next begins with them.
TEST(Chart, SignsWithNothingBetweenAreOneBarLine)
{
    for (char const* line : {"|", "||", "| ||", "|| |", "| || |", "|| ||"})
        EXPECT_EQ(played(fmt::format("C {} G", line)), "C4|G4") << line;
    for (char const* line : {"|:", "| |:", "|: |", "|| |: |", "||:"})
        EXPECT_EQ(played(fmt::format("C {} G :|", line)), "C4|G4|G4") << line;
    for (char const* line : {":|", ":| |", "| :| |", ":| x2 |", ":||"})
        EXPECT_EQ(played(fmt::format("C {} G", line)), "C4|C4|G4") << line;
    for (char const* line : {":|:", ":| x2:", ":| |:", ":| x2 |: |"})
        EXPECT_EQ(played(fmt::format("C {} G :|", line)), "C4|C4|G4|G4") << line;
}

TEST(Chart, EndsWithItsTextWhateverStandsBehindIt)
{
    std::string_view const more = "C | G / / / |: Am :| x3 | F";
    EXPECT_EQ(played(more.substr(0, 1)), "C4");
    EXPECT_EQ(played(more.substr(0, 3)), "C4");
    EXPECT_EQ(played(more.substr(0, 20)), "C4|G4|Am4|Am4");
    for (std::size_t size = 0; size <= more.size(); ++size) {
        std::string const copy{more.substr(0, size)};
        EXPECT_EQ(problems(more.substr(0, size)), problems(copy)) << copy;
        EXPECT_EQ(played(parse_chart(more.substr(0, size), kFour).chart), played(parse_chart(copy, kFour).chart));
    }
}

TEST(Chart, CompoundMetersTakePulsesOrBeats)
{
    EXPECT_EQ(played("C | C G", {6, 8}), "C6|C3 G3");
    EXPECT_EQ(played("C / / / / G", {6, 8}), "C5 G1");
    EXPECT_EQ(played("C / G /", {12, 8}), "C6 G6");
    EXPECT_EQ(played("C / G", {3, 4}), "C2 G1");
    EXPECT_EQ(played("C G", {2, 4}), "C1 G1");
}

TEST(Chart, BeatsThatDoNotAddUpAreAnErrorAtTheirBar)
{
    EXPECT_THAT(problems("C | C G F | Am"), ElementsAre("beats-in-bar@5"));
    EXPECT_THAT(problems("C / / / /"), ElementsAre("beats-in-bar@1"));
    EXPECT_THAT(problems("C / G", {6, 8}), ElementsAre("beats-in-bar@1"));
    EXPECT_THAT(problems("C G", {3, 4}), ElementsAre("beats-in-bar@1"));
    EXPECT_EQ(parse_chart("C | C G F", kFour).findings.at(0).what, "bar 2 has 3 beats, and 4/4 wants 4");
}

TEST(Chart, ABarThatDoesNotAddUpIsStillABarForWhatComesAfter)
{
    EXPECT_EQ(played(parse_chart("C G F | Am", kFour).chart), "C1 G1 F2|Am4");
    EXPECT_EQ(played(parse_chart("C / / / / G | Am", kFour).chart), "C4|Am4");
}

TEST(Chart, WhatIsNoChartIsReportedWhereItStands)
{
    EXPECT_THAT(problems(""), ElementsAre("bad-chart@1"));
    EXPECT_THAT(problems(" | "), ElementsAre("bad-chart@1"));
    EXPECT_THAT(problems("% | C"), ElementsAre("bad-chart@1"));
    EXPECT_THAT(problems("/ / C /"), ElementsAre("bad-chart@1"));
    EXPECT_THAT(problems("C | | G"), ElementsAre("bad-chart@5"));
    EXPECT_THAT(problems("C | % G"), ElementsAre("bad-chart@5"));
    EXPECT_THAT(problems("|: C | G"), ElementsAre("bad-chart@1"));
    EXPECT_THAT(problems("|: C |: G :|"), ElementsAre("bad-chart@6"));
    EXPECT_THAT(problems("C :|: G"), ElementsAre("bad-chart@3"));
    EXPECT_THAT(problems("C | | | G"), ElementsAre("bad-chart@5")) << "one bar line, one finding";
    EXPECT_THAT(problems("C :| x1"), ElementsAre("bad-chart@6"));
    EXPECT_THAT(problems("C/ G / /"), ElementsAre("bad-chart@1"));
    EXPECT_THAT(problems("C | | G | C G F"), ElementsAre("bad-chart@5", "beats-in-bar@11")) << "all in one pass";
}

// Beats of a bar over the number of its chords.
TEST(Chart, ChordsWithoutASlashShareTheirBarEvenly)
{
    EXPECT_EQ(played("C G"), "C2 G2") << "4 / 2";
    EXPECT_EQ(played("C G Am F"), "C1 G1 Am1 F1") << "4 / 4";
    EXPECT_EQ(played("C N.C. | % "), "C2 -2|C2 -2");
    EXPECT_EQ(played("C G Am", {3, 4}), "C1 G1 Am1") << "3 / 3";
    EXPECT_EQ(played("C G", {6, 4}), "C3 G3") << "6 / 2";
    EXPECT_EQ(played("C G Am", {6, 8}), "C2 G2 Am2") << "6 / 3";
    EXPECT_EQ(played("C G Am", {9, 8}), "C3 G3 Am3") << "9 / 3";
    EXPECT_EQ(played("C G", {12, 8}), "C6 G6") << "12 / 2";
}

TEST(Chart, ChordsThatDoNotDivideTheirBarAreShownWithBeatsThatDo)
{
    auto const fix = [](std::string_view text, overlay::Meter meter) {
        auto const findings = parse_chart(text, meter).findings;
        return findings.size() == 1 ? findings[0].fix : fmt::format("{} findings", findings.size());
    };
    EXPECT_THAT(fix("C G", {3, 4}), testing::StartsWith("write \"C / G\",")) << "2 + 1";
    EXPECT_THAT(fix("C G Am", kFour), testing::StartsWith("write \"C / G Am\",")) << "2 + 1 + 1";
    EXPECT_THAT(fix("C G", {5, 4}), testing::StartsWith("write \"C / / G /\",")) << "five goes as 3 + 2";
    EXPECT_THAT(fix("C G Am", {7, 8}), testing::StartsWith("write \"C / G / Am / /\",")) << "seven goes as 2 + 2 + 3";
    EXPECT_THAT(fix("C / G", kFour), testing::StartsWith("write \"C / G /\",")) << "the last chord is held";
    EXPECT_THAT(fix("C G Am F Dm G Em Am", kFour), testing::StartsWith("write \"C G Am F | Dm G Em Am\","));
    EXPECT_THAT(fix("C / G / Am", kFour), testing::StartsWith("write \"C / G / | Am\",")) << "a bar, and the next";
    EXPECT_EQ(fix("C / / / / / G", kFour), "take beats away, or put a | where the next bar begins");
}

struct Slip {
    std::string_view bars;
    std::string_view right;
    overlay::Meter meter = kFour;
};

// What people write between and around chords, and the bar as this chart has it.
TEST(Chart, WhatStandsBetweenChordsIsAnErrorThatShowsTheBarWrittenRight)
{
    for (auto const& [bars, right, meter] : std::initializer_list<Slip>{
             {"E, Bm7", "E Bm7"},
             {"E,Bm7", "E Bm7"},
             {"E , Bm7", "E Bm7"},
             {"E; Bm7;", "E Bm7"},
             {"E - Bm7", "E Bm7"},
             {"E-Bm7", "E Bm7"},
             {"E \u2013 Bm7", "E Bm7"},
             {"E -> Bm7", "E Bm7"},
             {"E \u2192 Bm7", "E Bm7"},
             {"E & Bm7", "E Bm7"},
             {"E+Bm7", "E Bm7"},
             {"E - - -", "E / / /"},
             {"E . . .", "E / / /"},
             {"E - Bm7", "E / Bm7", {3, 4}},
             {"E, Bm7", "E / Bm7", {3, 4}},
             {"[Am] [F]", "Am F"},
             {"(Am)", "Am"},
             {"1. Am 2. F", "Am F"},
             {"3) Am", "Am"},
             {"Am(4)", "Am / / /"},
             {"Am(3) F(1)", "Am / / F"},
             {"\"Am\"", "Am"},
             {"Am.", "Am"},
             {"Am: F", "Am F"},
             {"C7(b9,#11), F", "C7(b9,#11) F"},
             {"C/ G/", "C / G /"},
             {"C// G", "C // G"},
             {"D\\F#", "D/F#"},
             {"C \\ G \\", "C / G /"},
             {"C I G", "C | G"},
             {"C \u00A6 G", "C | G"},
             {"C\u2502G", "C | G"},
             {"Am x2", "|: Am :| x2"},
             {"N.C., C", "N.C. C"},
             {"C / / /, G", "C / / / | G"},
             {"G | %, C", "% | C"},
         }) {
        auto const findings = parse_chart(bars, meter).findings;
        ASSERT_EQ(findings.size(), 1U) << bars;
        EXPECT_EQ(findings[0].code, "bad-chart") << bars;
        EXPECT_EQ(findings[0].fix, fmt::format("write \"{}\"", right)) << bars;
        EXPECT_THAT(problems(right.starts_with('%') ? "G | % | C" : right, meter), testing::IsEmpty()) << right;
    }
    EXPECT_THAT(problems("C | E, Bm7 | G"), ElementsAre("bad-chart@5"))
        << "at the word, and no second one of its beats";
}

TEST(Chart, SignsThatANameMayHaveAreNoSlips)
{
    EXPECT_EQ(played("C7(b9,#11) | C- | C-7 | C+ | Am7(b5) | n.c. | C\u00A0G"),
              "C7(b9,#11)4|C-4|C-74|C+4|Am7(b5)4|-4|C2 G2");
    auto const own = [](std::string_view name) { return name == "riff,1" || name == "I"; };
    EXPECT_THAT(parse_chart("riff,1 | I", kFour, {}, own).findings, testing::IsEmpty()) << "they have shapes";
    EXPECT_THAT(problems("riff"), testing::IsEmpty()) << "no sign is wrong: the checker says that it is no chord";
}

TEST(Chart, RepeatsThatWouldFillTheMemoryAreRefused)
{
    std::string bars = "|: C";
    for (int i = 0; i < 99; ++i)
        bars += " | C";
    EXPECT_THAT(problems(bars + " :| x99"), ElementsAre("too-big@400"));
    EXPECT_EQ(parse_chart(bars + " :| x99", kFour).chart.bars(), kMostBars);
    EXPECT_EQ(parse_chart(bars + " :| x40", kFour).chart.bars(), 4000)
        << "100 bars 40 times are just as many as may be";
    EXPECT_THAT(problems(bars + " :| x40"), testing::IsEmpty());
    EXPECT_THAT(problems(bars + " :| x40 C"), ElementsAre("too-big@409")) << "one more bar";
}

/// What stands in the last quotes of a text.
std::string quoted(std::string const& text)
{
    auto const begin = text.find('"');
    auto const end = text.find('"', begin + 1);
    return begin == std::string::npos || end == std::string::npos ? "" : text.substr(begin + 1, end - begin - 1);
}

// Who copies a suggestion must not be told that it is wrong.
TEST(Chart, ReadsWhatItSuggests)
{
    int suggested = 0;
    for (overlay::Meter const meter : {overlay::Meter{4, 4}, overlay::Meter{3, 4}, overlay::Meter{6, 8}})
        for (std::string const text :
             {"C 2x",      "C x3",    "C x1",    "C x100", "C, G",      "C-G-Am-F", "C G Am",
              "C / / / /", "C % G",   "C |: 2x", "C \\ G", "C G F | C", "(C) (G)",  "C / G | % C",
              "Am7 x2 C",  "C - - -", "C . . .", "C//G//", "C;G;F;C;G", "D/ G"}) {
            for (Finding const& finding : parse_chart(text, meter).findings) {
                if (!finding.fix.starts_with("write \"") || finding.fix.find("where the repeat") != std::string::npos)
                    continue;
                auto const again = parse_chart("N.C. | " + quoted(finding.fix), meter);
                EXPECT_THAT(again.findings, testing::IsEmpty()) << text << ": " << finding.fix;
                ++suggested;
            }
        }
    EXPECT_GT(suggested, 20);
    EXPECT_EQ(parse_chart("C 2x", kFour).findings.at(0).fix, "write \"|: C :| x2\"");
}

} // namespace
} // namespace tabard::pipeline
