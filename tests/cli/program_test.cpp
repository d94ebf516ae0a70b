#include "tests/support/paths.h"
#include "tests/support/run_program.h"

#include <algorithm>
#include <fstream>
#include <regex>
#include <sstream>
#include <string>
#include <vector>

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

/// The commands that the sources add to the program, sorted.
std::vector<std::string> commands_of_the_sources()
{
    std::ifstream file(source_folder() / "cli/program.h");
    std::string const text = (std::stringstream() << file.rdbuf()).str();
    std::regex const line("void add_([a-z]+)\\(");
    std::vector<std::string> names;
    for (std::sregex_iterator match(text.begin(), text.end(), line), end; match != end; ++match)
        names.push_back((*match)[1]);
    std::ranges::sort(names);
    return names;
}

// A film named for a cut that is not named would be left out in silence, and the old one rendered.
TEST(Program, RefusesWhatBelongsToACutWhereNoneIsNamed)
{
    for (char const* command : {"render", "still", "check", "export", "publish"})
        for (std::vector<std::string> const& option : {std::vector<std::string>{"--footage", "new.mp4"},
                                                       {"--old", "old.mp4"},
                                                       {"--rate", "25"},
                                                       {"--reel", "A"},
                                                       {"--source-start", "10:00:00:00"},
                                                       {"--record-start", "01:00:00:00"},
                                                       {"--lenient"}}) {
            std::vector<std::string> words{TABARD_PROGRAM, command, "lesson.json"};
            if (command == std::string("export"))
                words.insert(words.end(), {"--to", "csv"});
            if (command == std::string("still"))
                words.insert(words.end(), {"--at", "0:01"});
            words.insert(words.end(), option.begin(), option.end());
            ProgramRun const run = run_program(words);
            EXPECT_EQ(run.exit, 2) << command << " " << option[0];
            EXPECT_THAT(run.err, HasSubstr(option[0] + " requires --through"));
        }
}

TEST(Program, PrintsAManPageThatNamesEveryCommand)
{
    ProgramRun const run = run_program({TABARD_PROGRAM, "manual"});
    EXPECT_EQ(run.exit, 0);
    EXPECT_THAT(run.out, StartsWith(".TH TABARD 1"));
    std::regex const heading("\\.SH \"TABARD ([a-z]+)\"\n");
    std::vector<std::string> named;
    for (std::sregex_iterator match(run.out.begin(), run.out.end(), heading), end; match != end; ++match)
        named.push_back((*match)[1]);
    std::ranges::sort(named);
    EXPECT_EQ(named, commands_of_the_sources());
    EXPECT_THAT(named, testing::IsSupersetOf({"check", "render", "retime", "sheet"}));
}

} // namespace
} // namespace tabard::tests
