#include "pipeline/retime/retime_report.h"

#include <string>

#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

namespace tabard::pipeline {
namespace {

Interval seconds(int from, int to) { return {from_ticks(from, 1, 1), from_ticks(to, 1, 1)}; }

/// A section that moved, a chord that is seen `times` times, and a count-in that is lost.
RetimeReport report(int times)
{
    RetimedCue const section{CueKind::section, "Verse",          "Verse",     0, {3, 5},
                             seconds(0, 10),   {seconds(5, 15)}, Fate::moved, ""};
    RetimedCue chord{CueKind::chord, "C", "Verse", 2, {4, 9}, seconds(4, 5), {}, Fate::repeated, ""};
    for (int i = 0; i < times; ++i)
        chord.after.push_back(seconds(i, i + 1));
    RetimedCue const count_in{CueKind::count_in, "", "Verse", 0, {5, 1}, seconds(0, 4), {}, Fate::lost, "no room"};
    return {{section, chord, count_in}, {"the list has no picture track"}};
}

// A column of ten signs and six of nine.
TEST(RetimeReport, CountsWhatBecameOfEachKindAndNamesWhatDidNotMove)
{
    EXPECT_EQ(report_text(report(2), "lesson.json"),
              "               cues    moved  trimmed    split repeated     lost\n"
              "parts             1        1        0        0        0        0\n"
              "count-ins         1        0        0        0        0        1\n"
              "chords            1        0        0        0        1        0\n"
              "all               3        1        0        0        1        1\n"
              "\nlost:\n"
              "  lesson.json:5: count-in in \"Verse\": 0:00.000 - 0:04.000 (no room)\n"
              "\nrepeated:\n"
              "  lesson.json:4: chord C in \"Verse\", bar 2: 0:04.000 - 0:05.000"
              " -> 0:00.000 - 0:01.000, 0:01.000 - 0:02.000\n"
              "\nnote: the list has no picture track\n");
}

TEST(RetimeReport, SixRepeatsAreNamedAndTheOthersCounted)
{
    EXPECT_THAT(report_text(report(6), ""), testing::HasSubstr(", 0:05.000 - 0:06.000\n"));
    EXPECT_THAT(report_text(report(8), ""), testing::HasSubstr(", 0:05.000 - 0:06.000 and 2 more\n"));
}

TEST(RetimeReport, OfWhatDoesNotApplyAProgramIsToldNothing)
{
    auto const json = nlohmann::json::parse(report_json(report(2), "lesson.json"));
    EXPECT_EQ(json["cues_file"], "lesson.json");
    EXPECT_EQ(json["counts"]["chord"],
              nlohmann::json::parse(R"({"all": 1, "moved": 0, "trimmed": 0, "split": 0, "repeated": 1, "lost": 0})"));
    EXPECT_EQ(json["counts"]["text"]["all"], 0);
    EXPECT_EQ(json["cues"][0], nlohmann::json::parse(R"({"kind": "section", "name": "Verse", "line": 3, "column": 5,
        "fate": "moved", "before": {"from": 0.0, "to": 10.0}, "after": [{"from": 5.0, "to": 15.0}]})"));
    EXPECT_EQ(json["cues"][1]["bar"], 2);
    EXPECT_EQ(json["cues"][1]["section"], "Verse");
    EXPECT_EQ(json["cues"][2]["why"], "no room");
    EXPECT_FALSE(json["cues"][2].contains("bar"));
}

} // namespace
} // namespace tabard::pipeline
