// What was heard, part by part: taking one leaves a lesson that holds together, and taking all is what `listen -o`
// writes. Film times in seconds.
#include "pipeline/cues/writer.h"
#include "pipeline/desk/desk.h"
#include "pipeline/desk/runs/heard_parts.h"
#include "pipeline/listen/heard_document.h"
#include "pipeline/listen/listen_report.h"
#include "pipeline/time/timecode.h"
#include "tests/support/performance/conditions.h"

#include <algorithm>
#include <map>
#include <numeric>
#include <random>
#include <string>
#include <vector>

#include <fmt/format.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

namespace tabard::pipeline {
namespace {

using Json = nlohmann::json;
using testing::IsEmpty;
using testing::Not;

LessonFile file_of(std::string const& sections)
{
    LessonReadOptions options;
    options.charts = Charts::untimed;
    return lesson_file_of(R"({"tabard": 1, "title": "t", "footage": "f.mp4", "tempo": 60, "sections": [)" + sections +
                              "]}",
                          "t.json", options);
}

struct Played {
    double from;
    double to;
    char const* doubt = "";
};

LessonHeard heard_at(LessonFile const& file, std::map<int, Played> const& played)
{
    LessonHeard heard;
    for (auto const& [section, times] : played) {
        HeardSection found;
        found.section = section;
        found.name = *file.reading.lesson->sections[static_cast<std::size_t>(section)].name;
        found.at = file.reading.lesson->sections[static_cast<std::size_t>(section)].at;
        found.reason = times.doubt;
        found.verdict = found.reason.empty() ? Verdict::sure : Verdict::doubtful;
        found.tempo.thousandths = 61'300;
        found.played = {from_seconds(times.from), from_seconds(times.to)};
        found.pins = {{BarPosition{}, from_seconds(times.from), {}}, {BarPosition{5, 1}, from_seconds(times.to), {}}};
        heard.sections.push_back(found);
    }
    return heard;
}

Json parts_of(LessonFile const& file, LessonHeard const& heard)
{
    auto const parts = heard_parts(listen_json(heard), file, std::nullopt);
    EXPECT_TRUE(parts) << parts.error().what;
    return parts ? Json::parse(*parts) : Json{};
}

void take(Json const& edits, JsonValue& document)
{
    if (edits.empty())
        return;
    auto const done = apply_edits(document, *parse_document(edits.dump()));
    EXPECT_TRUE(done) << done.error().what;
}

/// As values: members may stand in another order.
Json values_of(JsonValue const& document) { return Json::parse(document_text(document)); }

/// For how long parts lie over one another, and how far pins and cues lie outside their parts.
double disorder(JsonValue const& document)
{
    LessonReadOptions options;
    options.charts = Charts::untimed;
    auto const reading = parse_lesson(document_text(document), "t.json", options);
    double sum = 0;
    auto const& sections = reading.lesson->sections;
    for (Section const& one : sections) {
        if (!one.from)
            continue;
        double const from = to_seconds(**one.from);
        double const known = one.pins.empty() ? from : to_seconds(one.pins.back().time);
        double const to = one.to ? to_seconds(**one.to) : known;
        double const limit = one.to ? to : 1e6;
        sum += std::max(0.0, from - to);
        for (Pin const& pin : one.pins)
            sum += std::max({0.0, from - to_seconds(pin.time), to_seconds(pin.time) - limit});
        for (ShowCue const& cue : one.show)
            sum += std::max({0.0, from - to_seconds(*cue.from), to_seconds(*cue.from) - limit});
        for (Section const& other : sections)
            if (&other != &one && other.from && **other.from >= **one.from)
                sum += std::max(0.0, std::min(to, other.to ? to_seconds(**other.to) : to) - to_seconds(**other.from));
    }
    return sum;
}

/// Takes the sure parts in this order.
Json taken_in(std::vector<std::size_t> const& order, Json const& parts, LessonFile const& file)
{
    JsonValue document = file.document;
    for (std::size_t const n : order)
        if (parts["parts"][n]["doubt"] == "")
            take(parts["parts"][n]["edits"], document);
    return values_of(document);
}

std::string const kTalk = R"({"name": "Talk", "from": "0:00", "to": "0:10"}, )";
std::string const kVerse = R"({"name": "Verse", "from": "0:10", "to": "0:20", "bars": "C|F|G|C"})";
std::string const kChorus = R"(, {"name": "Chorus", "from": "0:20", "to": "0:30", "bars": "F|G|C|C"})";

TEST(HeardParts, SayWhatIsWrittenAndWhatWasHeard)
{
    LessonFile const file = file_of(kTalk + kVerse);
    Json const part = parts_of(file, heard_at(file, {{1, {11, 19}}}))["parts"][0];
    EXPECT_EQ(part["part"], 1);
    EXPECT_EQ(part["name"], "Verse");
    EXPECT_EQ(part["doubt"], "");
    EXPECT_EQ(part["before"], Json::parse(R"({"from": 10, "to": 20, "pins": []})"));
    EXPECT_EQ(part["after"], Json::parse(R"({"from": 11, "to": 19, "pins": [["1.1", 11], ["5.1", 19]]})"));
    EXPECT_EQ(part["with"], Json::array());
    EXPECT_EQ(part["edits"], Json::parse(R"([
        {"path": ["sections", 0, "to"], "value": "0:11"},
        {"path": ["sections", 1, "from"], "value": "0:11"}, {"path": ["sections", 1, "to"], "value": "0:19"},
        {"path": ["sections", 1, "tempo"], "value": 61.3},
        {"path": ["sections", 1, "pins"], "value": [["1.1", "0:11"], ["5.1", "0:19"]]}])")); // the talk touched it
    EXPECT_THAT(part["words"].get<std::string>(), testing::StartsWith("Verse: 0:11.00 to 0:19.00, tempo 61.3"));
}

TEST(HeardParts, NothingIsTakenOfAPartThatWasNotHeard)
{
    LessonFile const file = file_of(kVerse + kChorus);
    LessonHeard heard = heard_at(file, {{0, {11, 19}}, {1, {20, 30}}});
    for (HeardSection& section : heard.sections)
        section.verdict = Verdict::not_found;
    heard.sections[1].reason = "at best 40 % of it sounds as written";
    Json const parts = parts_of(file, heard);
    EXPECT_THAT(parts["parts"][0]["doubt"].get<std::string>(), testing::StartsWith("not found"));
    EXPECT_EQ(parts["parts"][1]["doubt"], "not found: at best 40 % of it sounds as written");
    EXPECT_THAT(parts["parts"][0]["edits"], IsEmpty());
    EXPECT_THAT(parts["parts"][1]["edits"], IsEmpty());
    EXPECT_THAT(parts["edits"], IsEmpty());
}

// As --doubtful does, but for this part alone.
TEST(HeardParts, ADoubtfulPartIsTakenOnlyByItself)
{
    LessonFile const file = file_of(kVerse + kChorus);
    LessonHeard const heard = heard_at(file, {{0, {11, 19}}, {1, {21, 29, "it may lie elsewhere"}}});
    Json const parts = parts_of(file, heard);
    EXPECT_EQ(parts["parts"][1]["doubt"], "it may lie elsewhere");
    EXPECT_THAT(parts["parts"][1]["edits"], Not(IsEmpty()));
    for (Json const& edit : parts["edits"])
        EXPECT_TRUE(edit["path"][1] == 0 || edit["path"][2] == "from" || edit["path"][2] == "to") << edit;

    JsonValue document = file.document;
    take(parts["edits"], document);
    EXPECT_EQ(values_of(document), values_of(with_heard_pins(file.document, *file.reading.lesson, heard)));
    take(parts["parts"][1]["edits"], document);
    LessonHeard sure = heard;
    sure.sections[1].taken = true;
    EXPECT_EQ(values_of(document), values_of(with_heard_pins(file.document, *file.reading.lesson, sure)));
}

// Two parts written in each other's place: neither can move alone.
TEST(HeardParts, APartThatCannotStayMovesToo)
{
    LessonFile const file = file_of(kVerse + kChorus);
    LessonHeard const heard = heard_at(file, {{0, {20, 30}}, {1, {10, 20}}});
    Json const parts = parts_of(file, heard);
    EXPECT_EQ(parts["parts"][0]["with"], Json({1}));
    JsonValue document = file.document;
    take(parts["parts"][0]["edits"], document);
    EXPECT_EQ(values_of(document)["sections"][1]["from"], "0:10");
    EXPECT_EQ(values_of(document)["sections"][1]["to"], "0:20");
    EXPECT_FALSE(values_of(document)["sections"][1].contains("pins")) << "only where it stands";
    EXPECT_EQ(disorder(document), 0);
    take(parts["parts"][1]["edits"], document);
    EXPECT_EQ(values_of(document), values_of(with_heard_pins(file.document, *file.reading.lesson, heard)));
}

TEST(HeardParts, OnlyThePartThatWasAskedForIsThere)
{
    LessonFile const file = file_of(kVerse + kChorus);
    auto const one = heard_parts(listen_json(heard_at(file, {{0, {11, 19}}, {1, {20, 30}}})), file, 1);
    ASSERT_TRUE(one);
    EXPECT_EQ(Json::parse(*one)["parts"].size(), 1u);
    EXPECT_EQ(Json::parse(*one)["parts"][0]["name"], "Chorus");
    EXPECT_THAT(Json::parse(*one)["edits"], IsEmpty());
}

TEST(HeardParts, WhatWasHeardOfAnotherFileIsRefused)
{
    LessonFile const file = file_of(kVerse + kChorus);
    LessonFile const other = file_of(kVerse);
    LessonFile const renamed = file_of(R"({"name": "Bridge", "bars": "C"})");
    auto const heard = listen_json(heard_at(file, {{0, {11, 19}}, {1, {20, 30}}}));
    EXPECT_FALSE(heard_parts(heard, other, std::nullopt));
    EXPECT_FALSE(heard_parts(heard, renamed, std::nullopt));
    for (char const* const text : {"", "[]", "{}", R"({"sections": 7})", R"({"sections": [{}]})"})
        EXPECT_FALSE(heard_parts(text, file, std::nullopt)) << text;
}

// Any lesson of parts and talk, heard a little or far off; the parts taken in any order.
TEST(HeardParts, TakenOneByOneInAnyOrderTheyMakeTheFileOfListen)
{
    std::mt19937 random(7);
    auto const chance = [&](int one_in) { return random() % static_cast<unsigned>(one_in) == 0; };
    int several = 0, with = 0;
    for (int n = 0; n < 400; ++n) {
        std::string sections;
        std::map<int, Played> played;
        int const count = 2 + static_cast<int>(random() % 6);
        for (int i = 0; i < count; ++i) {
            double const from = 12.0 * i, to = from + (chance(3) ? 9 : 12);
            bool const has_bars = !chance(3);
            std::string const bars = has_bars ? R"(, "bars": "C|F|G|C")" : "";
            std::string const end = has_bars && chance(4) ? "" : fmt::format(R"(, "to": {})", to);
            std::string const begin = end.empty() && chance(2) ? "" : fmt::format(R"(, "from": {})", from);
            std::string const show =
                !begin.empty() && chance(4) ? fmt::format(R"(, "show": [{{"text": "x", "from": {}}}])", from + 1) : "";
            std::string const pins = has_bars && chance(4) && !begin.empty()
                                         ? fmt::format(R"(, "pins": [["1.1", {}], ["5.1", {}]])", from, to)
                                         : "";
            sections += fmt::format(R"({}{{"name": "Part {}"{}{}{}{}{}}})", i == 0 ? "" : ", ", i, begin, end, bars,
                                    show, pins);
            if (!has_bars || chance(4))
                continue;
            double const off =
                std::uniform_real_distribution<double>(-1.7, 1.7)(random); // 12 - 8.5 apart: none overlap
            double const start = std::max(0.0, from + std::round(off * 1000) / 1000);
            played[i] = {start, start + 8.5, chance(6) ? "doubtful" : ""};
            if (chance(5) && played.contains(i - 1)) // played in another order than written
                std::swap(played[i], played[i - 1]);
        }
        LessonFile const file = file_of(sections);
        ASSERT_TRUE(file.reading.lesson);
        LessonHeard const heard = heard_at(file, played);
        Json const parts = parts_of(file, heard);
        JsonValue const after = with_heard_pins(file.document, *file.reading.lesson, heard);
        SCOPED_TRACE(sections + "\n" + listen_text(heard));

        std::vector<std::size_t> order(parts["parts"].size());
        std::iota(order.begin(), order.end(), 0u);
        several += order.size() > 1;
        for (int turn = 0; turn < 4; ++turn) {
            EXPECT_EQ(taken_in(order, parts, file), values_of(after));
            std::ranges::shuffle(order, random);
        }
        JsonValue all = file.document;
        take(parts["edits"], all);
        EXPECT_EQ(values_of(all), values_of(after));
        double const usual = std::max(disorder(file.document), disorder(after));
        for (Json const& part : parts["parts"]) {
            JsonValue alone = file.document;
            take(part["edits"], alone);
            with += !part["with"].empty();
            if (part["doubt"] == "") {
                EXPECT_LE(disorder(alone), usual + 0.001) << part["name"];
            }
        }
        if (HasFailure())
            return;
    }
    EXPECT_GT(several, 200);
    EXPECT_GT(with, 10);
}

// A built performance, heard by the listener itself.
TEST(HeardParts, OfAPerformanceThatWasHeardMakeTheFileOfListen)
{
    auto bank = tests::sound_font_notes("/usr/share/sounds/sf2/TimGM6mb.sf2", 25, "steel");
    ASSERT_TRUE(bank) << "install timgm6mb-soundfont";
    auto const take_of = tests::perform({.name = "desk", .manner = {.parts = 3, .about_error = 1}}, *bank, 61);
    std::string sections;
    for (std::size_t n = 0; n < take_of.played.chart.size(); ++n) {
        auto const& part = take_of.played.chart[n];
        sections +=
            fmt::format(R"({}{{"name": "Part {}", "from": {:.1f}, "tempo": {:.0f}, "bars": "{}"}})", n == 0 ? "" : ", ",
                        n + 1, std::max(0.0, *part.about), 60 / part.beat_seconds, take_of.played.bars[n]);
    }
    LessonFile const file = file_of(sections);
    ASSERT_TRUE(file.reading.lesson);
    LessonHeard const heard = listen(*file.reading.lesson, hear(take_of.sound));
    Json const parts = parts_of(file, heard);
    ASSERT_EQ(parts["parts"].size(), 3u);
    Json const expected = values_of(with_heard_pins(file.document, *file.reading.lesson, heard));
    EXPECT_EQ(taken_in({0, 1, 2}, parts, file), expected);
    EXPECT_EQ(taken_in({2, 0, 1}, parts, file), expected);
    for (std::size_t n = 0; n < 3; ++n) { // the truth: when the built player strikes first
        double const struck = take_of.played.parts[n].beats.front();
        EXPECT_NEAR(parts["parts"][n]["after"]["pins"][0][1].get<double>(), struck, 0.1) << n;
    }
}

} // namespace
} // namespace tabard::pipeline
