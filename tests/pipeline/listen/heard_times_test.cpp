// Where the sections of a cue file stand once the bars of some were heard: film times in seconds.
#include "pipeline/cues/reader.h"
#include "pipeline/listen/heard_document.h"
#include "pipeline/time/timecode.h"

#include <map>
#include <random>
#include <string>

#include <fmt/format.h>
#include <gtest/gtest.h>

namespace tabard::pipeline {
namespace {

struct Played {
    double from;
    double to;
};

Lesson lesson_of(std::string const& sections)
{
    LessonReadOptions options;
    options.charts = Charts::untimed;
    auto reading =
        parse_lesson(R"({"tabard": 1, "title": "t", "footage": "f.mp4", "tempo": 60, "sections": [)" + sections + "]}",
                     "t.json", options);
    EXPECT_TRUE(reading.usable());
    return *reading.lesson;
}

LessonHeard heard_at(std::map<int, Played> const& played)
{
    LessonHeard heard;
    for (auto const& [section, times] : played) {
        HeardSection found;
        found.section = section;
        found.verdict = Verdict::sure;
        found.pins = {{BarPosition{}, from_seconds(times.from), {}}, {BarPosition{5, 1}, from_seconds(times.to), {}}};
        heard.sections.push_back(found);
    }
    return heard;
}

/// "1-5 5-9": from and to of each section, - alone for none.
std::string times(std::string const& sections, std::map<int, Played> const& played)
{
    std::string text;
    for (SectionTimes const& times : heard_times(lesson_of(sections), heard_at(played)))
        text += fmt::format("{}{}-{}", text.empty() ? "" : " ",
                            times.from ? fmt::format("{}", to_seconds(*times.from)) : "",
                            times.to ? fmt::format("{}", to_seconds(*times.to)) : "");
    return text;
}

char const* const kVerse = R"({"name": "Verse", "from": 10, "to": 20, "bars": "C|F|G|C"})";

TEST(HeardTimes, BothEndsOfASectionMoveToWhereItIsPlayed)
{
    EXPECT_EQ(times(kVerse, {{0, {11, 19}}}), "11-19");
    EXPECT_EQ(times(kVerse, {{0, {8, 24}}}), "8-24");
    EXPECT_EQ(times(kVerse, {}), "10-20") << "what was not heard stays";
}

TEST(HeardTimes, AnEndThatIsNotWrittenStaysSo)
{
    EXPECT_EQ(times(R"({"name": "Verse", "from": 10, "bars": "C|F|G|C"})", {{0, {11, 19}}}), "11-");
    EXPECT_EQ(times(R"({"name": "Verse", "bars": "C|F|G|C"})", {{0, {11, 19}}}), "11-");
    EXPECT_EQ(times(R"({"name": "Verse", "bars": "C|F|G|C"})", {}), "-");
}

TEST(HeardTimes, NoSectionReachesIntoTheNext)
{
    std::string const chorus = R"(, {"name": "Chorus", "from": 20, "to": 30, "bars": "C|F|G|C"})";
    EXPECT_EQ(times(kVerse + chorus, {{0, {10.2, 20.2}}, {1, {20, 30.1}}}), "10.2-20 20-30.1");
    EXPECT_EQ(times(kVerse + chorus, {{1, {18.5, 30}}}), "10-18.5 18.5-30");
    EXPECT_EQ(times(kVerse + chorus, {{0, {10, 21}}}), "10-21 21-30");
    EXPECT_EQ(times(kVerse + chorus, {{0, {10, 18}}, {1, {22, 30}}}), "10-18 22-30") << "nobody plays between";
}

TEST(HeardTimes, BarsThatReachIntoTheNextSectionGetAnEnd)
{
    std::string const untimed = R"({"name": "A", "bars": "C|F|G|C"}, {"name": "B", "bars": "C|F|G|C"})";
    EXPECT_EQ(times(untimed, {{0, {10, 20.4}}, {1, {20, 30}}}), "10-20 20-");
    EXPECT_EQ(times(untimed, {{0, {10, 20}}, {1, {20, 30}}}), "10- 20-");
}

TEST(HeardTimes, TalkThatTouchedThePlayingStillDoes)
{
    std::string const before = R"({"name": "Talk", "from": 0, "to": 10}, )",
                      after = R"(, {"name": "Talk", "from": 20, "to": 30})";
    EXPECT_EQ(times(before + kVerse + after, {{1, {11, 19}}}), "0-11 11-19 19-30");
    EXPECT_EQ(times(before + kVerse + after, {{1, {9, 22}}}), "0-9 9-22 22-30");
    std::string const apart = R"({"name": "Talk", "from": 0, "to": 7}, )";
    EXPECT_EQ(times(apart + kVerse, {{1, {11, 19}}}), "0-7 11-19");
}

TEST(HeardTimes, WhatASectionShowsStaysInside)
{
    std::string const words =
        R"({"name": "Verse", "from": 9, "to": 20, "bars": "C|F|G|C", "show": [{"text": "x", "from": 9.5, "to": 20}]})";
    EXPECT_EQ(times(words, {{0, {11, 19}}}), "9.5-20");
    std::string const talk =
        R"(, {"name": "Talk", "from": 20, "to": 30, "show": [{"text": "x", "from": 20.5, "to": 29}]})";
    EXPECT_EQ(times(kVerse + talk, {{0, {11, 20.4}}}), "11-20.4 20.4-30");
    EXPECT_EQ(times(kVerse + talk, {{0, {11, 21}}}), "11-20 20-30") << "its words come first";
}

// Any lesson of parts and talk, heard with errors of up to three seconds.
TEST(HeardTimes, EveryLessonComesOutInOrderAndWithoutOverlap)
{
    std::mt19937 random(5);
    std::uniform_real_distribution<double> off(-3, 3);
    for (int n = 0; n < 300; ++n) {
        std::string sections;
        std::map<int, Played> played;
        int const count = 2 + static_cast<int>(random() % 6);
        for (int i = 0; i < count; ++i) {
            bool const has_bars = random() % 3 != 0;
            sections += fmt::format(R"({}{{"name": "P", "from": {}, {}"show": []{}}})", i == 0 ? "" : ", ", 10 * i + 4,
                                    random() % 2 == 0 ? fmt::format("\"to\": {}, ", 10 * i + 14) : "",
                                    has_bars ? R"(, "bars": "C|F|G|C")" : "");
            if (has_bars && random() % 4 != 0)
                played[i] = {10 * i + 4 + off(random), 10 * i + 14 + off(random)};
        }
        auto const after = heard_times(lesson_of(sections), heard_at(played));
        for (std::size_t i = 0; i < after.size(); ++i) {
            ASSERT_TRUE(after[i].from);
            if (after[i].to) {
                EXPECT_LT(*after[i].from, *after[i].to) << sections;
                EXPECT_TRUE(i + 1 == after.size() || *after[i].to <= *after[i + 1].from) << sections;
            }
        }
    }
}

} // namespace
} // namespace tabard::pipeline
