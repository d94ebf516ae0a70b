#include "tests/support/paths.h"
#include "tests/support/run_program.h"

#include <fstream>
#include <regex>
#include <set>
#include <sstream>
#include <string>
#include <vector>

#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

namespace tabard::tests {
namespace {

using testing::HasSubstr;
using testing::IsEmpty;
using testing::StartsWith;

std::string file(std::string const& name) { return (source_folder() / name).string(); }

TEST(CheckCommand, IsSilentOnStandardOutputWhereNothingIsWrong)
{
    ProgramRun const run = run_program({TABARD_PROGRAM, "check", file("sample_media/lantern.json")});
    EXPECT_EQ(run.exit, 0) << run.out;
    EXPECT_THAT(run.out, IsEmpty());
    EXPECT_THAT(run.err, HasSubstr("No problems found."));
}

TEST(CheckCommand, PrintsFindingsAndAnswersNoWhereThereAreErrors)
{
    ProgramRun const run = run_program({TABARD_PROGRAM, "check", file("tests/data/bad_lesson/lesson.json")});
    EXPECT_EQ(run.exit, 1);
    EXPECT_THAT(run.out,
                HasSubstr("lesson.json:33:81: error: bar 2 has 3 beats, and 4/4 wants 4; write \"G / F C\", or "
                          "hold other chords with / [beats-in-bar]\n"));
    EXPECT_THAT(run.err, HasSubstr(" errors, "));
    ProgramRun const quiet =
        run_program({TABARD_PROGRAM, "--quiet", "check", file("tests/data/bad_lesson/lesson.json")});
    EXPECT_THAT(quiet.err, IsEmpty());
    EXPECT_EQ(quiet.out, run.out);
}

TEST(CheckCommand, WritesJsonAndSarif)
{
    auto const lesson = file("tests/data/bad_lesson/not_json.json");
    ProgramRun const json = run_program({TABARD_PROGRAM, "check", "--json", lesson});
    EXPECT_EQ(json.exit, 1);
    EXPECT_THAT(json.out, StartsWith("{\n  \"version\": 1,"));
    ProgramRun const sarif = run_program({TABARD_PROGRAM, "check", "--format", "sarif", lesson});
    EXPECT_THAT(sarif.out, HasSubstr("\"version\": \"2.1.0\""));
}

TEST(CheckCommand, ExplainsACode)
{
    ProgramRun const run = run_program({TABARD_PROGRAM, "check", "--explain", "short-notice"});
    EXPECT_EQ(run.exit, 0);
    EXPECT_THAT(run.out, StartsWith("short-notice (warning)\n"));
    ProgramRun const none = run_program({TABARD_PROGRAM, "check", "--explain", "short-notce"});
    EXPECT_EQ(none.exit, 2);
    EXPECT_THAT(none.err, HasSubstr("did you mean 'short-notice'?"));
}

/// The first column of the table of codes.
std::set<std::string> codes_of_the_table()
{
    std::ifstream table(source_folder() / "pipeline/check/README.md");
    std::set<std::string> codes;
    std::regex const row("\\| `([a-z-]+)` \\| .*");
    std::smatch found;
    for (std::string line; std::getline(table, line);)
        if (std::regex_match(line, found, row))
            codes.insert(found[1]);
    return codes;
}

// Whatever folder makes a finding: its code is explained, and a code host gets its words.
TEST(CheckCommand, KnowsEveryCodeOfTheTable)
{
    auto const run =
        run_program({TABARD_PROGRAM, "check", "--quick", "--format", "sarif", file("sample_media/lantern.json")});
    auto const log = nlohmann::json::parse(run.out);
    std::multiset<std::string> rules;
    for (auto const& rule : log["runs"][0]["tool"]["driver"]["rules"])
        rules.insert(rule["id"].get<std::string>());
    auto const table = codes_of_the_table();
    EXPECT_THAT(rules, testing::ElementsAreArray(table));
    for (auto const* const code : {"cue-off-sound", "chord-not-as-written", "part-not-heard", "capo-not-as-heard",
                                   "unexpected-playing", "not-json", "covers-hands"})
        EXPECT_THAT(run_program({TABARD_PROGRAM, "check", "--explain", code}).out, StartsWith(code));
}

/// The demo lesson with its verse shown 120 ms late, and what else `more` says. Its welcome is played, without a
/// chart.
std::string late_verse(TemporaryFolder const& folder, std::string const& more)
{
    std::ifstream original(file("sample_media/lantern.json"));
    auto text = (std::stringstream() << original.rdbuf()).str();
    auto const replace = [&](std::string const& from, std::string const& to) {
        EXPECT_NE(text.find(from), std::string::npos) << from;
        text.replace(text.find(from), from.size(), to);
    };
    replace("\"lantern.mp4\"", "\"" + file("sample_media/lantern.mp4") + "\"" + more);
    replace("\"from\": \"0:16.6\", \"to\": \"0:28.6\"", "\"from\": \"0:16.72\", \"to\": \"0:28.6\"");
    write_text(folder / "late.json", text);
    return (folder / "late.json").string();
}

TEST(CheckCommand, JoinsWhatIsHeardWithTheOtherFindings)
{
    TemporaryFolder const folder;
    auto const found = [](nlohmann::json const& list) {
        std::set<std::string> codes;
        for (auto const& one : list)
            codes.insert(one["code"].get<std::string>());
        return codes;
    };
    auto const check = [&](std::string const& lesson, std::vector<std::string> more) {
        std::vector<std::string> words{TABARD_PROGRAM, "check", "--quick", "--json", lesson};
        words.insert(words.end(), more.begin(), more.end());
        return nlohmann::json::parse(run_program(words).out);
    };
    auto const plain = late_verse(folder, "");
    EXPECT_THAT(found(check(plain, {"--listen"})["findings"]),
                testing::ElementsAre("cue-off-sound", "played-without-chords"));
    EXPECT_THAT(found(check(plain, {})["findings"]), testing::IsEmpty());

    auto const accepting = late_verse(folder, R"(,
  "accept": [{"code": "cue-off-sound", "reason": "shown after the beat", "section": "Verse, slowly"}])");
    auto const listened = check(accepting, {"--listen"});
    EXPECT_THAT(found(listened["findings"]), testing::ElementsAre("played-without-chords"));
    EXPECT_THAT(found(listened["accepted"]), testing::ElementsAre("cue-off-sound"));
    EXPECT_THAT(found(check(accepting, {})["findings"]), testing::IsEmpty()) << "nobody listened";
}

// A file with mistakes is told them, not that it cannot be listened to.
TEST(CheckCommand, ListensOnlyWhereThereIsALessonAndItsFilm)
{
    ProgramRun const run =
        run_program({TABARD_PROGRAM, "check", "--listen", file("tests/data/bad_lesson/not_json.json")});
    EXPECT_EQ(run.exit, 1);
    EXPECT_THAT(run.out, HasSubstr("[not-json]"));
    ProgramRun const lost =
        run_program({TABARD_PROGRAM, "check", "--listen", file("tests/data/check/no-footage/bad.json")});
    EXPECT_EQ(lost.exit, 1);
    EXPECT_THAT(lost.out, HasSubstr("[no-footage]"));
}

TEST(CheckCommand, TellsWrongUsageFromAMissingFile)
{
    EXPECT_EQ(run_program({TABARD_PROGRAM, "check"}).exit, 2);
    EXPECT_EQ(run_program({TABARD_PROGRAM, "check", "--format", "xml", "a.json"}).exit, 2);
    EXPECT_EQ(run_program({TABARD_PROGRAM, "check", file("no_such.json")}).exit, 3);
}

} // namespace
} // namespace tabard::tests
