#include "pipeline/publish/caption_files.h"
#include "pipeline/publish/chapters.h"
#include "pipeline/publish/read_captions.h"
#include "pipeline/publish/summary.h"
#include "tests/pipeline/publish/lessons.h"
#include "tests/support/outside.h"
#include "tests/support/paths.h"
#include "tests/support/run_program.h"

#include <fstream>

#include <fmt/format.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <nlohmann/json.hpp>
#include <valijson/adapters/nlohmann_json_adapter.hpp>
#include <valijson/schema.hpp>
#include <valijson/schema_parser.hpp>
#include <valijson/validator.hpp>

namespace tabard::pipeline {
namespace {

using testing::ElementsAre;
using testing::HasSubstr;
using testing::IsEmpty;
using tests::run_program;
using tests::TemporaryFolder;

std::vector<Chapter> chapters(Lesson const& lesson) { return chapters_of(lesson, lessons::timeline(lesson)); }

TEST(Chapters, BeginAtZeroAndFollowOneAnotherToTheEnd)
{
    auto const list = chapters(lessons::lesson(lessons::kUsual));
    ASSERT_EQ(list.size(), 5u);
    EXPECT_EQ(list.front().from, Time{0});
    EXPECT_EQ(list.front().title, "Lantern on the Quay"); // before the first part
    for (std::size_t i = 1; i < list.size(); ++i)
        EXPECT_EQ(list[i].from, list[i - 1].to);
    EXPECT_EQ(list.back().to, from_seconds(60));
}

TEST(Chapters, AreListedWithTimesAsPeopleWriteThem)
{
    EXPECT_EQ(chapter_list({{Time{0}, from_seconds(65.9), "One"},
                            {from_seconds(65.9), from_seconds(3700), "Two"},
                            {from_seconds(3700), from_seconds(3800), "Three"}}),
              "0:00 One\n1:05 Two\n1:01:40 Three\n");
}

TEST(Chapters, WarnAboutWhatReadersOfDescriptionsIgnore)
{
    EXPECT_THAT(chapter_warnings({{Time{0}, from_seconds(10), "a"},
                                  {from_seconds(10), from_seconds(20), "b"},
                                  {from_seconds(20), from_seconds(30), "c"}}),
                IsEmpty());
    EXPECT_THAT(chapter_warnings({{Time{0}, from_seconds(10), "a"}, {from_seconds(10), from_seconds(19.9), "b"}}),
                ElementsAre(HasSubstr("three"), HasSubstr("\"b\"")));
}

// Titles that break formats: markup, arrows, signs, nothing, two lines, emoji, 200 letters.
std::string hostile_sections()
{
    std::string const names[] = {R"("Rock & Roll <intro> --> A\u266d")", R"(" ")", R"("two\nlines")",
                                 R"("\ud83c\udfb8 = ; # \\ guitar")", "\"" + std::string(200, 'x') + "\""};
    std::string sections;
    for (int i = 0; i < 5; ++i)
        sections += (i == 0 ? "" : ",") + lessons::section(names[i], 12 * i, 12 * i + 12);
    return sections;
}

/// What webvtt-parser 2.2.0 (npm) finds wrong, a line each.
std::string vtt_errors(std::string const& vtt, char const* kind)
{
    TemporaryFolder const folder;
    tests::write_text(folder / "file.vtt", vtt);
    return run_program({"node", tests::outside_file("vtt_errors.mjs"), kind, folder / "file.vtt"}).out;
}

TEST(WebVtt, IsReadWithoutErrorByAnotherParser)
{
    NEEDS_OUTSIDE(tests::outside_file("vtt_errors.mjs"));
    ASSERT_THAT(vtt_errors("WEBVTT\n\n00:01.000 --> 00:02.000\na & b\n", "subtitles"),
                HasSubstr("Incorrect escape")); // it does look
    for (std::string const& sections : {std::string{lessons::kUsual}, hostile_sections()}) {
        auto const lesson = lessons::lesson(sections);
        auto const screen = captions_of(lesson, lessons::timeline(lesson));
        EXPECT_EQ(vtt_errors(webvtt({screen, {}}), "subtitles"), "");
        EXPECT_EQ(vtt_errors(webvtt_chapters(chapters(lesson)), "chapters"), "");
        auto const speech = parse_captions("WEBVTT\n\n00:03.000 --> 00:07.000\nsaid & <i>sung</i>\n");
        EXPECT_EQ(
            vtt_errors(webvtt({merge_captions(speech->file.captions, screen, MergeStyle::on_top), {}}), "subtitles"),
            "");
    }
}

TEST(WebVtt, WritesHoursWithTwoDigitsAndChaptersThatDoNotOverlap)
{
    auto const text = webvtt_chapters(chapters(lessons::lesson(hostile_sections())));
    std::istringstream lines(text);
    std::string line;
    std::string end_before;
    int cues = 0;
    while (std::getline(lines, line))
        if (line.find(" --> ") != std::string::npos) {
            EXPECT_EQ(line.size(), std::string{"00:00:00.000 --> 00:00:00.000"}.size()) << line;
            EXPECT_GE(line.substr(0, 12), end_before);
            end_before = line.substr(17);
            ++cues;
        }
    EXPECT_EQ(cues, 5);
}

TEST(FfMetadata, IsReadBackByFfmpegToTheMillisecondWithHostileTitles)
{
    auto const lesson = lessons::lesson(hostile_sections());
    auto const list = chapters(lesson);
    TemporaryFolder const folder;
    tests::write_text(folder / "chapters.ffmeta", ffmetadata(*lesson.title, list));
    auto const made =
        run_program({"ffmpeg", "-v", "error", "-f", "lavfi", "-i", "color=s=16x16:r=5:d=60", "-i",
                     folder / "chapters.ffmeta", "-map_metadata", "1", "-c:v", "ffv1", folder / "film.mkv"});
    ASSERT_EQ(made.exit, 0) << made.err;
    auto const probe = nlohmann::json::parse(
        run_program({"ffprobe", "-v", "error", "-show_chapters", "-of", "json", folder / "film.mkv"}).out);
    ASSERT_EQ(probe["chapters"].size(), list.size());
    for (std::size_t i = 0; i < list.size(); ++i) {
        EXPECT_NEAR(std::stod(probe["chapters"][i]["start_time"].get<std::string>()), to_seconds(list[i].from), 0.001);
        EXPECT_NEAR(std::stod(probe["chapters"][i]["end_time"].get<std::string>()), to_seconds(list[i].to), 0.001);
        EXPECT_EQ(probe["chapters"][i]["tags"]["title"], list[i].title);
    }
}

TEST(Summary, FitsItsSchema)
{
    std::ifstream file(tests::source_folder() / "templates/summary.schema.json");
    auto const schema_text = nlohmann::json::parse(file);
    valijson::Schema schema;
    valijson::adapters::NlohmannJsonAdapter const adapter(schema_text);
    valijson::SchemaParser(valijson::SchemaParser::kDraft7).populateSchema(adapter, schema);
    auto const fits = [&](nlohmann::json const& document) {
        valijson::adapters::NlohmannJsonAdapter const target(document);
        return valijson::Validator().validate(schema, target, nullptr);
    };
    for (std::string const& sections : {std::string{lessons::kUsual}, hostile_sections()}) {
        auto const lesson = lessons::lesson(sections);
        auto document = nlohmann::json::parse(summary_json(lesson, chapters(lesson)));
        EXPECT_TRUE(fits(document)) << document.dump(2);
        document["meter"] = "2+2+3/8";
        EXPECT_TRUE(fits(document));
        document["capo"] = "four";
        EXPECT_FALSE(fits(document));
    }
}

std::string template_text() { return tests::read_text(tests::source_folder() / "templates/description.mustache"); }

TEST(Description, HoldsChordsCapoTempoChaptersAndLink)
{
    auto const lesson =
        lessons::lesson(lessons::kUsual, R"("capo": 4, "key": "E", "link": "https://example.org/l?a=1&b=2")");
    auto const text = description(template_text(), lesson, chapters(lesson));
    ASSERT_TRUE(text);
    EXPECT_THAT(*text, HasSubstr("Capo 4, shapes in C, key of E. 4/4, 60 beats a minute."));
    EXPECT_THAT(*text, HasSubstr("Chords: C, F, G, Am7\n"));
    EXPECT_THAT(*text, HasSubstr("\n0:00 Lantern on the Quay\n0:02 Talk\n0:12 Verse 1\n"));
    EXPECT_THAT(*text, HasSubstr("https://example.org/l?a=1&b=2")); // plain text: nothing escaped
}

TEST(Description, LeavesOutWhatTheLessonDoesNotSay)
{
    auto const lesson = lessons::lesson(lessons::kUsual, R"("capo": 0)");
    auto const text = *description(template_text(), lesson, chapters(lesson));
    EXPECT_THAT(text, HasSubstr("No capo. 4/4"));
    EXPECT_THAT(text, testing::Not(HasSubstr("printed sheet")));
}

TEST(Description, GivesNoTextALineOfItsOwn)
{
    auto lesson = lessons::lesson(lessons::kUsual);
    lesson.title.value = "Quay\n0:00 Buy\u20280:05 Now";
    lesson.link.value = "javascript:alert(1)\nx";
    auto const text = *description("{{title}}\n{{link}}\n", lesson, {});
    EXPECT_EQ(text, "Quay 0:00 Buy 0:05 Now\njavascript:alert(1) x\n");
}

TEST(Summary, HoldsALinkOnlyWhereItIsOneToFollow)
{
    for (auto const& [link, held] : {std::pair{"https://example.org/l", true},
                                     {"MAILTO:a@example.org", true},
                                     {"javascript:alert(1)", false},
                                     {"data:text/html,x", false},
                                     {"https://", false},
                                     {"https://example.org/ x", false},
                                     {"ftp://example.org/", false}}) {
        auto const lesson = lessons::lesson(lessons::kUsual, fmt::format(R"("link": "{}")", link));
        EXPECT_EQ(summary_json(lesson, {}).find("\"link\"") != std::string::npos, held) << link;
    }
}

TEST(Description, SaysWhenATemplateIsBroken)
{
    auto const lesson = lessons::lesson(lessons::kUsual);
    EXPECT_FALSE(description("{{#chords}} never closed", lesson, {}));
    EXPECT_EQ(*description("{{title}}", lesson, {}), "Lantern on the Quay");
}

} // namespace
} // namespace tabard::pipeline
