#include "pipeline/cues/reader.h"

#include <algorithm>
#include <filesystem>
#include <initializer_list>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include <fmt/format.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace tabard::pipeline {
namespace {

using testing::ElementsAre;
using testing::HasSubstr;
using testing::IsEmpty;

constexpr std::string_view kLesson = R"({
  "tabard": 1,
  "title": "Lantern on the Quay",
  "footage": "film/lantern.mp4",
  "capo": 4, "key": "E", "meter": "4/4", "tempo": 76,
  "shapes": {
    "G/B": {"frets": "x20003", "fingers": "-2---3"},
    "F": {"easy": "xx3211", "full": {"frets": "133211", "fingers": "134211"}}
  },
  "strums": {"rolling": {"steps": "Dp - Dx Ui - Ui D> Ui", "swing": 0.6}, "plain": "D D D D"},
  "sections": [
    {"name": "The shapes", "from": "0:12", "to": "0:50", "note": "talk",
     "show": [{"chord": "F", "level": "easy", "text": "Thumb behind the neck", "from": "0:14.2"},
              {"strum": "plain", "from": "0:19", "to": "0:24"}]},
    {"name": "Chorus", "from": "0:52.48", "count_in": 1, "strum": "rolling", "bars": "C | G/B | Fmaj7 / C / | %"},
    {"name": "Bridge", "pins": [["1.1", "1:31.02"], ["5.1", "1:42.60"]], "meter": "6/8", "tempo": 54.5,
     "bars": ["|: Am | C F", "G :|"], "words": ["one", "two"]},
    {"name": "Chorus", "from": "2:00", "bars": "C | G", "piece": {"from_bar": "2.1", "number": 2}}
  ],
  "accept": [{"code": "foreign-chord", "reason": "borrowed from the minor"}]
})";

LessonReading read(std::string_view text, LessonReadOptions const& options = {})
{
    return parse_lesson(text, "/lessons/lantern.json", options);
}

/// kLesson with one text replaced.
std::string with(std::string_view from, std::string_view to)
{
    std::string text(kLesson);
    std::size_t const at = text.find(from);
    EXPECT_NE(at, std::string::npos) << from;
    return text.replace(at, from.size(), to);
}

/// "line:column code" of each finding.
std::vector<std::string> problems(std::string_view text)
{
    std::vector<std::string> found;
    for (Finding const& finding : read(text).findings)
        found.push_back(fmt::format("{}:{} {}", finding.at.line, finding.at.column, finding.code));
    return found;
}

Time seconds(std::int64_t hundredths) { return from_ticks(hundredths, 1, 100); }

/// A lesson of four beats a bar with these sections.
std::string song(std::string_view sections, std::string_view more = "")
{
    return fmt::format(
        "{{\"tabard\": 1, \"title\": \"t\", \"footage\": \"f.mp4\", \"tempo\": 60,{}\n\"sections\": [\n{}]}}", more,
        sections);
}

constexpr std::string_view kStrums = "\"strums\": {\"slow\": \"D - D -\", \"fast\": \"D U D U\"},";

TEST(LessonReader, ASectionThatIsAsAnotherHasItsMusicAndItsOwnTimes)
{
    auto const reading =
        read(song(R"({"name": "Verse", "from": 10, "to": 30, "tempo": 90, "meter": "3/4", "strum": "slow",
      "count_in": 1, "text": "once", "bars": "C | G", "words": ["one", "two"]},
     {"as": "Verse", "from": 40},
     {"name": "Last verse", "as": "Verse", "from": 60, "tempo": 70, "strum": "none", "words": "three"})",
                  kStrums));
    ASSERT_THAT(reading.findings, IsEmpty());
    auto const& sections = reading.lesson->sections;
    EXPECT_EQ(*sections[1].name, "Verse");
    EXPECT_EQ(**sections[1].from, seconds(4000));
    EXPECT_FALSE(sections[1].to);
    EXPECT_EQ(sections[1].count_in, 0);
    EXPECT_FALSE(sections[1].text);
    EXPECT_EQ(sections[1].bars->value, sections[0].bars->value);
    EXPECT_EQ(*sections[1].meter, (overlay::Meter{3, 4}));
    EXPECT_EQ(sections[1].tempo->value.thousandths, 90'000);
    EXPECT_EQ(**sections[1].strum, "slow");
    EXPECT_EQ(sections[1].words.size(), 2U);
    EXPECT_EQ(*sections[2].name, "Last verse");
    EXPECT_EQ(sections[2].tempo->value.thousandths, 70'000) << "what it says itself counts";
    EXPECT_FALSE(sections[2].strum);
    ASSERT_EQ(sections[2].words.size(), 1U);
    EXPECT_EQ(*sections[2].words[0], "three");
    EXPECT_EQ(sections[2].bars->value, sections[0].bars->value);
}

TEST(LessonReader, SectionsMayBeAsOneThatIsAsAnotherAndAsALaterOne)
{
    auto const reading =
        read(song(R"({"name": "A", "as": "B", "from": 10}, {"name": "B", "as": "C", "from": 20, "tempo": 80},
      {"name": "C", "from": 30, "bars": "C | G"}, {"name": "D", "as": "A", "from": 40, "tempo": 100})"));
    ASSERT_THAT(reading.findings, IsEmpty());
    for (Section const& section : reading.lesson->sections)
        EXPECT_EQ(section.bars->value.text, "C | G");
    EXPECT_EQ(reading.lesson->sections[0].tempo->value.thousandths, 80'000);
    EXPECT_EQ(reading.lesson->sections[3].tempo->value.thousandths, 100'000);
}

TEST(LessonReader, SaysWhyASectionCannotBeAsAnother)
{
    struct Row {
        std::string_view sections;
        std::string_view what;
        std::string_view fix;
    };
    for (auto const& [sections, what, fix] : std::initializer_list<Row>{
             {R"({"name": "Verse", "from": 1, "bars": "C"}, {"as": "Vers", "from": 9})", "no part is called 'Vers'",
              "did you mean 'Verse'?"},
             {R"({"name": "Talk", "from": 1}, {"as": "Refrain", "from": 9})", "no part is called 'Refrain'",
              "name a part that has \"bars\""},
             {R"({"name": "Verse", "as": "Verse", "from": 9})", "'Verse' is as itself",
              "name the part that has the \"bars\""},
             {R"({"name": "A", "as": "B", "from": 1}, {"name": "B", "as": "A", "from": 9})",
              "'B' and 'A' are as one another, and none has bars", "write \"bars\" in one of them"},
             {R"({"name": "Talk", "from": 1}, {"name": "A", "as": "Talk", "from": 9})",
              "part 'Talk' has no bars to reuse", "write its \"bars\""},
             {"{\"name\": \"V\", \"from\": 1, \"bars\": \"C\"},\n{\"name\": \"V\", \"from\": 9, \"bars\": \"G\"},\n"
              "{\"name\": \"W\", \"as\": \"V\", \"from\": 20}",
              "two parts are called 'V' and differ, in lines 3 and 4", "give one of them another name"},
         }) {
        auto const findings = read(song(sections)).findings;
        ASSERT_EQ(findings.size(), 1U) << sections;
        EXPECT_EQ(findings[0].code, "bad-value");
        EXPECT_EQ(findings[0].severity, Severity::error);
        EXPECT_EQ(findings[0].what, what);
        EXPECT_EQ(findings[0].fix, fix);
    }
    EXPECT_THAT(problems(song(R"({"name": "V", "from": 1, "bars": "C"}, {"name": "V", "from": 9, "bars": "C"},
      {"as": "V", "from": 20, "tempo": 70}, {"as": "V", "from": 30})")),
                IsEmpty())
        << "namesakes that say the same, and who only changes what it reuses";
}

TEST(LessonReader, AMistakeInReusedBarsIsToldOnceWhereItStands)
{
    EXPECT_THAT(
        problems(song("{\"name\": \"V\", \"from\": 1, \"bars\": \"C | C G F\"},\n{\"as\": \"V\", \"from\": 9}")),
        ElementsAre("3:39 beats-in-bar"));
}

// Ten parts of a million bytes each are more than the 16 MiB that a whole file may have.
TEST(LessonReader, SectionsThatReuseMoreThanAFileMayHoldAreRefused)
{
    std::string lines = "\"" + std::string(90'000, 'x') + "\"";
    for (int i = 0; i < 9; ++i)
        lines += ", \"" + std::string(90'000, 'x') + "\"";
    std::string sections = "{\"name\": \"V\", \"from\": 1, \"bars\": \"C\", \"words\": [" + lines + "]}";
    for (int i = 0; i < 30; ++i)
        sections += fmt::format(", {{\"as\": \"V\", \"from\": {}}}", 10 * i + 10);
    auto const findings = read(song(sections)).findings;
    ASSERT_EQ(findings.size(), 1U);
    EXPECT_EQ(findings[0].code, "too-big");
}

TEST(LessonReader, SectionsWithoutAStrumHaveTheLessonsOrTheOnlyOne)
{
    auto const strums = [](std::string_view more) {
        std::string names;
        auto const reading = read(song(R"({"name": "talk", "from": 1}, {"name": "a", "from": 2, "bars": "C"},
      {"name": "b", "from": 9, "bars": "C", "strum": "none"}, {"name": "c", "from": 19, "bars": "C", "strum": "slow"})",
                                       more));
        EXPECT_THAT(reading.findings, IsEmpty()) << more;
        for (Section const& section : reading.lesson->sections)
            names += (section.strum ? **section.strum : "-") + " ";
        return names;
    };
    EXPECT_EQ(strums(kStrums), "- - - slow ") << "two, and none is the lesson's";
    EXPECT_EQ(strums(std::string(kStrums) + "\"strum\": \"fast\","), "- fast - slow ");
    EXPECT_EQ(strums(R"("strums": {"slow": "D - D -"},)"), "- slow - slow ") << "the only one";
    EXPECT_EQ(strums(R"("strums": {"slow": "D - D -"}, "strum": "none",)"), "- - - slow ");
    EXPECT_EQ(strums(R"("strums": {"slow": "D - D -", "none": "D"},)"), "- - none slow ") << "a strum of that name";
    auto const wrong =
        read(song(R"({"name": "a", "from": 2, "bars": "C"})", std::string(kStrums) + "\"strum\": \"fats\","));
    ASSERT_EQ(wrong.findings.size(), 1U);
    EXPECT_EQ(wrong.findings[0].code, "unknown-strum");
    EXPECT_EQ(wrong.findings[0].fix, "did you mean 'fast'?");
}

// Three people joined to one sign, of 18 bytes (UAX #29, GB11): sixty of them are more than a message holds.
TEST(LessonReader, CutsWhatItRepeatsBetweenLetters)
{
    std::string const family = "\U0001F469\u200D\U0001F469\u200D\U0001F467";
    std::string name;
    for (int i = 0; i < 60; ++i)
        name += family;
    auto const reading = read(R"({"tabard": 1, "title": "t", "footage": "x.mp4", "tempo": 60, "sections": [
        {"name": "Verse", "from": 1, "bars": "C", "strum": ")" +
                              name + R"("}]})");
    auto const found = std::ranges::find(reading.findings, "unknown-strum", &Finding::code);
    ASSERT_NE(found, reading.findings.end());
    EXPECT_LE(found->what.size(), 400U);
    auto const cut = found->what.find(" \u2026 ");
    ASSERT_NE(cut, std::string::npos) << found->what;
    EXPECT_TRUE(found->what.substr(0, cut).ends_with(family));
    EXPECT_TRUE(found->what.substr(cut + 5).starts_with(family));
}

TEST(LessonReader, UnderstandsALesson)
{
    LessonReading const reading = read(kLesson);
    EXPECT_THAT(reading.findings, IsEmpty());
    ASSERT_TRUE(reading.usable());
    Lesson const& lesson = *reading.lesson;
    EXPECT_EQ(*lesson.title, "Lantern on the Quay");
    EXPECT_EQ(*lesson.footage, "/lessons/film/lantern.mp4") << "relative to the cue file";
    EXPECT_EQ(*lesson.capo, 4);
    EXPECT_EQ(lesson.tempo->value.thousandths, 76'000);
    EXPECT_EQ(lesson.shape_for("F", Level::easy)->frets_text(), "xx3211");
    EXPECT_EQ(lesson.shape_for("F", Level::full)->frets_text(), "133211");
    EXPECT_EQ(lesson.shape_for("G/B", Level::easy)->frets_text(), "x20003") << "the only one there is";
    EXPECT_EQ(lesson.shape_for("C", Level::full), nullptr);
    EXPECT_EQ(lesson.shape_for("G/B", Level::full)->fingers_text(), "-2---3") << "as given";
    EXPECT_EQ(lesson.shape_for("F", Level::easy)->fingers_text(), "--3211") << "the fingers of every chord book";
    EXPECT_EQ(lesson.find_strum("rolling")->pattern.swing, 0.6);
    EXPECT_EQ(lesson.accept.at(0).code, "foreign-chord");
}

TEST(LessonReader, ReadsNotesInTheLanguageThatTheFileNames)
{
    auto const lesson = [](std::string_view more, std::string_view bars) {
        return read(fmt::format(R"({{"tabard": 1, "title": "t", "footage": "f", {}
  "sections": [{{"name": "a", "from": 1, "tempo": 60, "bars": "{}"}}]}})",
                                more, bars));
    };
    auto const german = lesson(R"("key": "h-Moll", "names": "german",)", "h / Fis7 / | B | n.c.");
    EXPECT_THAT(german.findings, IsEmpty());
    ASSERT_TRUE(german.usable());
    EXPECT_EQ(german.lesson->chord("h")->text(), "Bm");
    EXPECT_EQ(german.lesson->chord("B")->text(), "Bb");
    EXPECT_EQ(german.lesson->sounding_key()->text(), "Bm");
    EXPECT_EQ(lesson(R"("names": "latin", "key": "Sib",)", "Sib | Fa7").lesson->chord("Sib")->text(), "Bb");
    auto const unknown = lesson(R"("names": "germen",)", "C").findings;
    ASSERT_EQ(unknown.size(), 1U);
    EXPECT_EQ(unknown[0].code, "bad-value");
    EXPECT_THAT(unknown[0].what, HasSubstr("did you mean german?"));
    auto const key = lesson(R"("key": "Fis",)", "C").findings;
    ASSERT_EQ(key.size(), 1U);
    EXPECT_THAT(key[0].fix, HasSubstr("write \"names\": \"german\" at the top of the file"));
}

TEST(LessonReader, UnderstandsSections)
{
    Lesson const lesson = *read(kLesson).lesson;
    ASSERT_EQ(lesson.sections.size(), 4U);
    Section const& talk = lesson.sections[0];
    ASSERT_EQ(talk.show.size(), 3U) << "a cue with chord and text shows both";
    EXPECT_EQ(talk.show[0].chord, "F");
    EXPECT_EQ(talk.show[0].level, Level::easy);
    EXPECT_FALSE(talk.show[1].level) << "a text has none";
    EXPECT_EQ(talk.show[1].text, "Thumb behind the neck");
    EXPECT_EQ(*talk.show[1].from, seconds(1420));
    EXPECT_EQ(**talk.show[2].to, seconds(2400));
    Section const& chorus = lesson.sections[1];
    EXPECT_EQ(chorus.count_in, 1);
    EXPECT_EQ(chorus.bars->value.bars(), 4);
    EXPECT_EQ(chorus.tempo->value.thousandths, 76'000) << "the lesson's";
    Section const& bridge = lesson.sections[2];
    EXPECT_FALSE(bridge.from);
    EXPECT_EQ(bridge.pins.at(1).time, seconds(10260));
    EXPECT_EQ(*bridge.meter, (overlay::Meter{6, 8}));
    EXPECT_EQ(bridge.tempo->value.thousandths, 54'500);
    EXPECT_EQ(bridge.bars->value.bars(), 6) << "two lines of a chart follow each other as bars";
    EXPECT_EQ(bridge.words.size(), 2U);
    EXPECT_EQ(lesson.sections[3].piece, (Piece{{2, 1, 0}, 2}));
}

TEST(LessonReader, KnowsWhereValuesStand)
{
    Lesson const lesson = *read(kLesson).lesson;
    EXPECT_EQ(lesson.capo.at, (SourcePosition{5, 11}));
    EXPECT_EQ(lesson.sections[1].at, (SourcePosition{15, 5}));
    EXPECT_EQ(lesson.sections[1].bars->value.bar(3).at, (SourcePosition{15, 97}));
    EXPECT_EQ(lesson.sections[1].bars->value.bar(3).chords[1].at, (SourcePosition{15, 105}));
}

// A file without a line end has one line; the chord of one beat begins where it is written.
TEST(LessonReader, KnowsWhereAChordStandsInTheLastLineToo)
{
    std::string const text = R"({"tabard": 1, "title": "t", "footage": "f", "tempo": 60,)"
                             R"( "sections": [{"name": "a", "from": 1, "bars": "C | G Am F"}]})";
    EXPECT_THAT(problems(text), ElementsAre(fmt::format("1:{} beats-in-bar", text.find("G Am F") + 1)));
    EXPECT_THAT(problems("\n" + text + "\n"), ElementsAre(fmt::format("2:{} beats-in-bar", text.find("G Am F") + 1)));
}

TEST(LessonReader, ReportsEveryProblemInOnePass)
{
    std::string text = with("\"capo\": 4", "\"capo\": -1");
    text.replace(text.find("133211\""), 7, "1332\"");
    text.replace(text.find("Fmaj7 / C /"), 11, "Fmaj7 / C");
    text.replace(text.find("\"0:14.2\""), 8, "\"0:14,2\"");
    EXPECT_THAT(problems(text),
                ElementsAre("5:11 bad-value", "8:66 bad-shape", "13:88 bad-time", "15:97 beats-in-bar"));
}

TEST(LessonReader, AnUnknownKeyIsAWarningWithTheNearestKnownOne)
{
    auto const reading = read(with("\"count_in\"", "\"countin\""));
    ASSERT_EQ(reading.findings.size(), 1U);
    EXPECT_EQ(reading.findings[0].severity, Severity::warning);
    EXPECT_EQ(reading.findings[0].code, "unknown-key");
    EXPECT_THAT(reading.findings[0].fix, HasSubstr("count_in"));
    EXPECT_TRUE(reading.usable());
}

struct Case {
    char const* from;
    char const* to;
    char const* code;
};

constexpr Case kCases[] = {
    {"\"tabard\": 1,", "", "missing-key"},
    {"\"tabard\": 1", "\"tabard\": 2", "bad-value"},
    {"\"title\": \"Lantern on the Quay\"", "\"title\": 7", "wrong-type"},
    {"\"title\": \"Lantern on the Quay\"", "\"title\": \"a\", \"title\": \"b\"", "duplicate-key"},
    {"\"footage\": \"film/lantern.mp4\",", "", "missing-key"},
    {"\"key\": \"E\"", "\"key\": \"H#\"", "bad-value"},
    {"\"capo\": 4", "\"instrument\": \"lyre\", \"capo\": 4", "bad-value"},
    {"\"capo\": 4", "\"tuning\": \"E2 A2 D3 G3 B3 X4\", \"capo\": 4", "bad-value"},
    {"\"meter\": \"4/4\"", "\"meter\": \"4/5\"", "bad-value"},
    {"\"tempo\": 76", "\"tempo\": 0", "bad-value"},
    {"\"tempo\": 76", "\"tempo\": \"76\"", "wrong-type"},
    {"\"-2---3\"", "\"-2--3\"", "bad-shape"},
    {"\"frets\": \"x20003\"", "\"fret\": \"x20003\"", "missing-key"},
    {"\"D D D D\"", "\"D D Q D\"", "bad-strum"},
    {"\"swing\": 0.6", "\"swing\": 6", "bad-value"},
    {"\"strum\": \"rolling\"", "\"strum\": \"rowling\"", "unknown-strum"},
    {"\"from\": \"0:12\", \"to\": \"0:50\"", "\"from\": \"0:12\", \"to\": \"0:12\"", "no-length"},
    {"\"from\": \"0:19\", \"to\": \"0:24\"", "\"from\": \"0:19\", \"to\": \"0:18\"", "no-length"},
    {"\"from\": \"0:52.48\"", "\"from\": \"0:52:10:12\"", "bad-time"},
    {"\"from\": \"0:52.48\"", "\"from\": \"-0:52.48\"", "bad-time"},
    {"\"from\": \"0:52.48\"", "\"from\": \"1:75\"", "bad-time"},
    {"\"from\": \"0:52.48\"", "\"from\": \"99:99:99\"", "bad-time"},
    {"\"from\": \"0:52.48\"", "\"from\": \"0:1\"", "bad-time"},
    {"\"from\": \"0:52.48\"", "\"from\": \"NaN\"", "bad-time"},
    {"\"from\": \"0:52.48\"", "\"from\": \"1e9\"", "bad-time"},
    {"\"from\": \"0:52.48\"", "\"from\": \"0:01,5\"", "bad-time"},
    {"\"from\": \"0:52.48\"", "\"from\": \"999999999999:00\"", "bad-time"},
    {"\"from\": \"0:52.48\"", "\"from\": \"0:\xD9\xA0\xD9\xA1\"", "bad-time"},
    {"\"from\": \"0:52.48\"", "\"from\": true", "wrong-type"},
    {"\"from\": \"0:52.48\",", "", "no-time"},
    {"[\"5.1\", \"1:42.60\"]", "[\"5.1\", \"1:30\"]", "pin-order"},
    {"[\"5.1\", \"1:42.60\"]", "[\"1.1\", \"1:42.60\"]", "pin-order"},
    {"[\"5.1\", \"1:42.60\"]", "[\"5.7\", \"1:42.60\"]", "bad-pin"},
    {"[\"5.1\", \"1:42.60\"]", "[\"5.1\"]", "bad-pin"},
    {"\"bars\": \"C | G\"", "\"bars\": \"C | | G\"", "bad-chart"},
    {"\"chord\": \"F\", \"level\": \"easy\"", "\"chord\": \"F\", \"level\": \"hard\"", "bad-value"},
    {"{\"strum\": \"plain\", ", "{", "missing-key"},
    {"\"reason\": \"borrowed from the minor\"", "\"reason\": \"\"", "missing-key"},
    {"\"name\": \"Chorus\", \"from\": \"0:52.48\"", "\"from\": \"0:52.48\"", "missing-key"},
};

TEST(LessonReader, NamesEachMistakeByItsCodeAndSaysHowToMendIt)
{
    for (Case const& c : kCases) {
        SCOPED_TRACE(c.to);
        auto const reading = read(with(c.from, c.to));
        ASSERT_TRUE(reading.lesson);
        std::vector<std::string> errors;
        for (Finding const& finding : reading.findings)
            if (finding.severity == Severity::error)
                errors.push_back(finding.code);
        EXPECT_THAT(errors, ElementsAre(c.code));
        for (Finding const& finding : reading.findings)
            EXPECT_FALSE(finding.fix.empty()) << finding.what;
    }
}

// Listening finds the time and the tempo of bars, and talk lies between parts that are heard; what shows cues of its
// own does not.
TEST(LessonReader, BarsThatAreStillToBeHeardNeedNeitherTimeNorTempo)
{
    std::string const text = R"({"tabard": 1, "title": "t", "footage": "f.mp4", "sections": [
{"name": "Verse", "bars": "C | G"}, {"name": "Talk"},
{"name": "Slow", "show": [{"chord": "C", "from": "0:05"}]},
{"name": "Chorus", "bars": "F | G", "show": [{"text": "softly", "from": "0:09"}]}]})";
    LessonReadOptions options;
    options.charts = Charts::untimed;
    auto const untimed = parse_lesson(text, "lesson.json", options);
    ASSERT_EQ(untimed.lesson->sections.size(), 3U);
    for (Section const& section : untimed.lesson->sections)
        EXPECT_FALSE(section.from) << *section.name;
    EXPECT_EQ(*untimed.lesson->sections[2].name, "Chorus") << "a part with bars is heard, whatever else it shows";
    ASSERT_EQ(untimed.findings.size(), 1U);
    EXPECT_EQ(untimed.findings[0].code, "missing-key");
    EXPECT_EQ(untimed.findings[0].at.line, 3);
    auto const timed = parse_lesson(text, "lesson.json");
    EXPECT_TRUE(timed.lesson->sections.empty());
    EXPECT_EQ(timed.findings[0].code, "no-time");
    EXPECT_THAT(timed.findings[0].fix, testing::HasSubstr("tabard listen"));
}

TEST(LessonReader, BarsTakeATempoOrTwoPins)
{
    EXPECT_THAT(
        problems(R"({"tabard": 1, "title": "t", "footage": "f", "sections": [{"name": "a", "from": 1, "bars": "C"}]})"),
        ElementsAre("1:58 no-tempo"));
    EXPECT_THAT(problems(R"({"tabard": 1, "title": "t", "footage": "f", "sections": [{"name": "a",
        "pins": [[1, 1], [2, 3.5]], "bars": "C"}]})"),
                IsEmpty());
}

// Frame 1800 of 30000/1001 starts at 60.06 s and is labelled 00:01:00;02 (SMPTE ST 12-1).
TEST(LessonReader, ReadsLabelsWithFramesAtTheRateOfTheFootage)
{
    auto const text = with("\"from\": \"0:52.48\"", "\"from\": \"0:01:00;02\"");
    int asked = 0;
    LessonReadOptions options;
    options.footage_rate = [&](std::filesystem::path const& footage) {
        EXPECT_EQ(footage, "/lessons/film/lantern.mp4");
        ++asked;
        return std::optional{FrameRate{30000, 1001}};
    };
    auto const reading = read(text, options);
    ASSERT_TRUE(reading.usable());
    EXPECT_EQ(**reading.lesson->sections[1].from, seconds(6006));
    EXPECT_EQ(asked, 1);
    read(kLesson, options);
    EXPECT_EQ(asked, 1) << "not asked where no label needs it";
    auto const stated = read(with("\"capo\": 4", "\"made_for\": {\"rate\": \"29.97\"}, \"capo\": 4"));
    EXPECT_THAT(stated.findings, IsEmpty());
}

struct Limit {
    char const* from;
    char const* to; ///< with % for the value
    std::vector<std::string> understood;
    std::vector<std::string> refused;
};

TEST(LessonReader, ValuesAreUnderstoodUpToTheirLimits)
{
    auto const steps = [](int count) {
        std::string text = "D";
        for (int i = 1; i < count; ++i)
            text += " D";
        return text;
    };
    Limit const limits[] = {
        {"\"meter\": \"4/4\"",
         "\"meter\": \"%\"",
         {"4/4", "4/4 ", "4 / 4", "2+2/4", "1 + 3/4"},
         {"17/4", "0/4", "-1/4", "4/3", "4/32", "4", "/4", "4/", "4+0/4", "4+/4", "16+1/8", "2/4+2/4"}},
        {"\"meter\": \"6/8\"", "\"meter\": \"%\"", {"6/8", "3+3/8"}, {"6/0", "6/1"}},
        {"\"tempo\": 76",
         "\"tempo\": %",
         {"1", "1.0", "76.125", "999.999", "1000", "1000.000"},
         {"0.999", "1000.001", "1001", "76.1255", "1e2", "-76"}},
        {"\"capo\": 4", "\"capo\": %", {"0", "24"}, {"25", "-1", "4.0", "99999999999"}},
        {"\"count_in\": 1", "\"count_in\": %", {"0", "8"}, {"9", "-1"}},
        {"\"number\": 2", "\"number\": %", {"1", "1000000"}, {"0", "1000001"}},
        {"\"swing\": 0.6", "\"swing\": %", {"0.5", "0.8"}, {"0.49", "0.81", "-0.6"}},
        {"[\"5.1\", \"1:42.60\"]", "[\"%\", \"1:42.60\"]", {"1.2", "5", "5.6"}, {"5.7", "1.1", "0.1", ""}},
        {"[\"5.1\", \"1:42.60\"]", "[\"5.1\", \"%\"]", {"1:31.021"}, {"1:31.02", "1:31.019"}},
        {"\"from\": \"0:19\", \"to\": \"0:24\"", "\"from\": \"0:19\", \"to\": \"%\"", {"0:19.001"}, {"0:19"}},
        {"\"title\": \"Lantern on the Quay\"", "\"title\": \"%\"", {std::string(kLongestName, 'x')}, {}},
        {"\"D D D D\"", "\"%\"", {steps(64)}, {steps(65)}},
        {"\"x20003\"", "\"%\"", {"x20003"}, {"x2000", "x200033"}},
        {"\"words\": [\"one\", \"two\"]", "\"words\": %", {"\"one\"", "[]", "[\"one\"]"}, {"1", "[\"one\", 2]"}},
        {"\"reason\": \"borrowed", "%: \"borrowed", {"\"reason\""}, {"\"reasons\""}},
    };
    for (Limit const& limit : limits) {
        auto const reading = [&](std::string const& value) {
            std::string to = limit.to;
            return read(with(limit.from, to.replace(to.find('%'), 1, value)));
        };
        for (std::string const& value : limit.understood)
            EXPECT_TRUE(reading(value).usable()) << limit.from << " " << value;
        for (std::string const& value : limit.refused)
            EXPECT_FALSE(reading(value).usable()) << limit.from << " " << value;
    }
}

// Lines of a chart follow each other as bars, whichever of them ends or begins with the bar line between.
TEST(LessonReader, LinesOfAChartMeetInOneBarLine)
{
    for (std::string const lines :
         {R"("C", "G")", R"("C |", "G")", R"("C", "| G")", R"("C |", "| G")", R"("C | ", "  | G")",
          R"("  C  ", "", " G  ")", R"("C | G")", R"(" ", "C |", " ", "| G |")"}) {
        std::string const text = with(R"("bars": "C | G")", "\"bars\": [" + lines + "]");
        auto const reading = read(text);
        EXPECT_THAT(reading.findings, IsEmpty()) << lines;
        Chart const& chart = *reading.lesson->sections[3].bars.value();
        ASSERT_EQ(chart.bars(), 2) << lines;
        EXPECT_EQ(chart.bar(1).chords[0].name, "C");
        EXPECT_EQ(chart.bar(2).chords[0].name, "G");
        std::size_t const line = text.rfind('\n', text.find(lines)) + 1;
        std::size_t const chord = text.find('G', text.find(lines));
        EXPECT_EQ(chart.bar(2).chords[0].at, (SourcePosition{18, static_cast<int>(chord - line) + 1})) << lines;
    }
}

TEST(LessonReader, AFileThatIsNoObjectIsOneFinding)
{
    EXPECT_THAT(problems("[]"), ElementsAre("1:1 wrong-type"));
    EXPECT_FALSE(read("[]").lesson);
}

TEST(LessonReader, HostileSizesAreAClearError)
{
    std::string cues;
    for (int i = 0; i <= kMostCues; ++i)
        cues += fmt::format("{}{{\"text\": \"a\", \"from\": {}}}", i ? "," : "", i);
    auto const text = fmt::format(
        R"({{"tabard": 1, "title": "t", "footage": "f", "sections": [{{"name": "a", "from": 0, "show": [{}]}}]}})",
        cues);
    EXPECT_THAT(read(text).findings.size(), 1U);
    EXPECT_EQ(read(text).findings[0].code, "too-big");
    EXPECT_EQ(read(std::string(kMostCueFileBytes + 1, ' ')).findings.at(0).code, "too-big");
    EXPECT_EQ(read("{\"a\":" + std::string(50'000, '[')).findings.at(0).code, "too-big");
}

// Seeking the nearest word takes time; whoever misspells 200 keys has understood.
TEST(LessonReader, TheFirstTwoHundredMisspeltKeysGetTheNearestOne)
{
    std::string sections;
    for (int i = 0; i < 300; ++i)
        sections += fmt::format(R"({}{{"name": "a", "from": {}, "placment": "auto"}})", i ? "," : "", i);
    auto const reading =
        read(fmt::format(R"({{"tabard": 1, "title": "t", "footage": "f", "sections": [{}]}})", sections));
    ASSERT_EQ(reading.findings.size(), 300U);
    EXPECT_EQ(std::ranges::count(reading.findings, "did you mean 'placement'?", &Finding::fix), 200);
    EXPECT_EQ(reading.findings[199].fix, "did you mean 'placement'?");
}

TEST(LessonReader, OneLongNameIsOneShortMessage)
{
    std::string const name(kLongestName + 1, 'x');
    Case const cases[] = {
        {"\"title\": \"Lantern on the Quay\"", "\"title\": \"%\"", "too-big"},
        {"\"key\": \"E\"", "\"key\": \"%\"", "too-big"},
        {"\"bars\": \"C | G\"", "\"bars\": \"C | %\"", "too-big"},
        {"\"from\": \"0:52.48\"", "\"from\": \"%\"", "bad-time"},
        {"\"meter\": \"4/4\"", "\"meter\": \"%\"", "bad-value"},
    };
    for (Case const& c : cases) {
        std::string to = c.to;
        to.replace(to.find('%'), 1, name);
        auto const reading = read(with(c.from, to.c_str()));
        ASSERT_EQ(reading.findings.size(), 1U) << c.to;
        EXPECT_EQ(reading.findings[0].code, c.code) << c.to;
        EXPECT_LT(reading.findings[0].what.size(), 450U) << c.to;
    }
}

// Nothing is wrong where the bars are written: the part that takes them into another meter is.
TEST(LessonReader, BarsThatAnotherMeterCannotTakeAreReportedAtTheAs)
{
    auto const reading = parse_lesson(R"({"tabard": 1, "title": "t", "footage": "f.mp4", "tempo": 80, "sections": [
{"name": "Verse", "from": 1, "bars": "C / G / | F"},
{"as": "Verse", "from": 30, "meter": "3/4"},
{"as": "Verse", "from": 50}]})",
                                      "cues.json");
    ASSERT_EQ(reading.findings.size(), 1U);
    EXPECT_EQ(reading.findings[0].code, "beats-in-bar");
    EXPECT_EQ(reading.findings[0].at, (SourcePosition{3, 8}));
    EXPECT_EQ(reading.findings[0].what, "the bars of 'Verse' do not fit the meter 3/4 of this part: bar 1 has 4 beats, "
                                        "and 3/4 wants 3");
}

TEST(LessonReader, SaysThatALessonHasNoPartAndThatACueShowsNothing)
{
    auto const none = parse_lesson(R"({"tabard": 1, "title": "t", "footage": "f.mp4", "sections": []})", "cues.json");
    ASSERT_EQ(none.findings.size(), 1U);
    EXPECT_EQ(none.findings[0].severity, Severity::error);
    EXPECT_EQ(none.findings[0].what, "the lesson has no part");
    auto const empty = parse_lesson(R"({"tabard": 1, "title": "t", "footage": "f.mp4", "sections": [
{"name": "Talk", "from": 1, "show": [{"chord": "C", "from": 1}, {"text": " ", "from": 2}]}]})",
                                    "cues.json");
    ASSERT_EQ(empty.findings.size(), 1U);
    EXPECT_EQ(empty.findings[0].code, "empty-text");
    EXPECT_EQ(empty.findings[0].severity, Severity::warning);
    EXPECT_EQ(empty.findings[0].at, (SourcePosition{2, 74}));
}

// A hand goes down on beats and up between them: six strokes of eight steps in 4/4.
TEST(LessonReader, SuggestsStrumsThatFillABar)
{
    auto const fix_of = [](std::string const& meter, std::string const& steps) {
        auto const reading =
            parse_lesson(R"({"tabard": 1, "title": "t", "footage": "f.mp4", "meter": ")" + meter +
                             R"(", "strums": {"s": ")" + steps + R"("}, "sections": [{"name": "Talk", "from": 1}]})",
                         "cues.json");
        return reading.findings.empty() ? "" : reading.findings[0].fix;
    };
    EXPECT_EQ(fix_of("4/4", "D-DU-UDU"), "write \"D - D U - U D U\"");
    EXPECT_EQ(fix_of("4/4", "DDUUDU"), "write \"D - D U - U D U\"");
    EXPECT_EQ(fix_of("3/4", "DDUDU"), "write \"D - D U D U\"");
    EXPECT_EQ(fix_of("4/4", "D-DU-"), "strokes are D, U or -, or plucked strings like 3i") << "not a whole bar";
}

} // namespace
} // namespace tabard::pipeline
