#include "tests/support/paths.h"
#include "tests/support/run_program.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

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
    EXPECT_THAT(run.err, HasSubstr("Nothing to mend."));
}

TEST(CheckCommand, PrintsFindingsAndAnswersNoWhereThereAreErrors)
{
    ProgramRun const run = run_program({TABARD_PROGRAM, "check", file("tests/data/bad_lesson/lesson.json")});
    EXPECT_EQ(run.exit, 1);
    EXPECT_THAT(run.out,
                HasSubstr("lesson.json:33:81: error: bar 2 has 2 beats, and 4/4 wants 4; add a / for each beat "
                          "that a chord is held [beats-in-bar]\n"));
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

TEST(CheckCommand, TellsWrongUsageFromAMissingFile)
{
    EXPECT_EQ(run_program({TABARD_PROGRAM, "check"}).exit, 2);
    EXPECT_EQ(run_program({TABARD_PROGRAM, "check", "--format", "xml", "a.json"}).exit, 2);
    EXPECT_EQ(run_program({TABARD_PROGRAM, "check", file("no_such.json")}).exit, 3);
}

} // namespace
} // namespace tabard::tests
