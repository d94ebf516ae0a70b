#include "tests/support/run_program.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace tabard::tests {
namespace {

using testing::HasSubstr;
using testing::IsEmpty;
using testing::StartsWith;

// Exit codes and streams: GNU coding standards, "Standards for Command Line Interfaces": --help and --version go to
// standard output and succeed; errors go to standard error.
TEST(Program, PrintsHelpAndVersionOnStandardOutput)
{
    ProgramRun const help = run_program({TABARD_PROGRAM, "--help"});
    EXPECT_EQ(help.exit, 0);
    EXPECT_THAT(help.out, HasSubstr("tabard render lesson.json"));
    EXPECT_THAT(help.err, IsEmpty());

    ProgramRun const version = run_program({TABARD_PROGRAM, "--version"});
    EXPECT_EQ(version.exit, 0);
    EXPECT_THAT(version.out, StartsWith("tabard "));
}

TEST(Program, NamesTheCommandThatDoesNotExist)
{
    ProgramRun const run = run_program({TABARD_PROGRAM, "rendre", "x.json"});
    EXPECT_EQ(run.exit, 2);
    EXPECT_THAT(run.out, IsEmpty());
    EXPECT_THAT(run.err, HasSubstr("no command 'rendre'"));
}

TEST(Program, RefusesAnOptionItDoesNotKnow)
{
    EXPECT_EQ(run_program({TABARD_PROGRAM, "--loud"}).exit, 2);
    EXPECT_EQ(run_program({TABARD_PROGRAM}).exit, 2);
}

TEST(Program, PrintsAManPageThatNamesEveryCommand)
{
    ProgramRun const run = run_program({TABARD_PROGRAM, "manual"});
    EXPECT_EQ(run.exit, 0);
    EXPECT_THAT(run.out, StartsWith(".TH TABARD 1"));
    EXPECT_THAT(run.out, HasSubstr("TABARD completion"));
}

} // namespace
} // namespace tabard::tests
