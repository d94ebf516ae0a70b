#include "tests/support/run_program.h"

#include <filesystem>
#include <string>
#include <vector>

#include <gmock/gmock.h>
#include <gtest/gtest.h>

// bash(1), "Programmable Completion": the function gets the words of the line in COMP_WORDS and gives its proposals in
// COMPREPLY.
namespace tabard::tests {
namespace {

using testing::AllOf;
using testing::Contains;
using testing::ElementsAre;
using testing::HasSubstr;
using testing::IsEmpty;
using testing::Not;
using testing::UnorderedElementsAre;

std::vector<std::string> lines(std::string const& text)
{
    std::vector<std::string> result;
    for (std::size_t at = 0; at < text.size();) {
        std::size_t const end = text.find('\n', at);
        result.push_back(text.substr(at, end - at));
        at = end == std::string::npos ? text.size() : end + 1;
    }
    return result;
}

/// What bash would propose for the last of `words`, in `folder`.
std::vector<std::string> proposed(std::vector<std::string> words, std::filesystem::path const& folder = "/")
{
    std::string const script = "cd \"$1\" && eval \"$(\"$2\" completion bash)\" || exit 9; shift 2\n"
                               "COMP_WORDS=(tabard \"$@\"); COMP_CWORD=$#; _tabard\n"
                               "[ ${#COMPREPLY[@]} -eq 0 ] || printf '%s\\n' \"${COMPREPLY[@]}\"\n";
    words.insert(words.begin(), {"bash", "--norc", "-c", script, "bash", folder.string(), TABARD_PROGRAM});
    ProgramRun const run = run_program(words);
    EXPECT_EQ(run.exit, 0) << run.err;
    EXPECT_THAT(run.err, IsEmpty());
    return lines(run.out);
}

TEST(Completion, OfBashProposesCommands)
{
    EXPECT_THAT(proposed({"re"}), UnorderedElementsAre("render", "retime"));
    EXPECT_THAT(proposed({""}), AllOf(Contains("start"), Contains("chord"), Contains("completion")));
    EXPECT_THAT(proposed({"--quiet", "re"}), UnorderedElementsAre("render", "retime"));
}

TEST(Completion, OfBashProposesTheOptionsOfTheCommand)
{
    EXPECT_THAT(proposed({"render", "--over"}), UnorderedElementsAre("--overlay-only", "--overlay-codec"));
    EXPECT_THAT(proposed({"render", "lesson.json", "--over"}),
                UnorderedElementsAre("--overlay-only", "--overlay-codec"));
    EXPECT_THAT(proposed({"sheet", "--"}), AllOf(Contains("--paper"), Not(Contains("--overlay-only"))));
    EXPECT_THAT(proposed({"nonsense", "--"}), IsEmpty());
}

TEST(Completion, OfBashProposesFilesWhateverTheirNames)
{
    TemporaryFolder const folder;
    for (char const* name : {"my lesson.json", "my [best] take.mp4", "my * lesson.json", "other.json"})
        write_text(folder / name, "");
    EXPECT_THAT(proposed({"check", "my"}, folder.path()),
                UnorderedElementsAre("my lesson.json", "my [best] take.mp4", "my * lesson.json"));
    EXPECT_THAT(proposed({"render", "oth"}, folder.path()), ElementsAre("other.json"));
}

TEST(Completion, OfBashProposesTheWordsThatAnOptionTakes)
{
    EXPECT_THAT(proposed({"check", "lesson.json", "--format", ""}), UnorderedElementsAre("gnu", "json", "sarif"));
    EXPECT_THAT(proposed({"sheet", "--paper", "l"}), ElementsAre("letter"));
    EXPECT_THAT(proposed({"completion", ""}), UnorderedElementsAre("bash", "zsh", "fish"));
}

TEST(Completion, OfZshAndFishNamesTheWordsThatAnOptionTakes)
{
    EXPECT_THAT(run_program({TABARD_PROGRAM, "completion", "zsh"}).out, HasSubstr(":value:(gnu json sarif)"));
    EXPECT_THAT(run_program({TABARD_PROGRAM, "completion", "fish"}).out, HasSubstr("-l format -x -a 'gnu json sarif'"));
}

class EachShell : public testing::TestWithParam<char const*> {};

// Option -n of bash(1) and zsh(1), --no-execute of fish(1): read the file and run nothing.
TEST_P(EachShell, ReadsItsCompletionWithoutAMistake)
{
    std::string const shell = GetParam();
    if (run_program({"sh", "-c", "command -v \"$0\"", shell}).exit != 0)
        GTEST_SKIP() << shell << " is not installed (Debian: apt-get install " << shell << ")";
    TemporaryFolder const folder;
    write_text(folder / "completion", run_program({TABARD_PROGRAM, "completion", shell}).out);
    ProgramRun const read = run_program({shell, "-n", folder / "completion"});
    EXPECT_EQ(read.exit, 0);
    EXPECT_THAT(read.err, IsEmpty());
}

INSTANTIATE_TEST_SUITE_P(Completion, EachShell, testing::Values("bash", "zsh", "fish"));

TEST(Completion, IsThereForThreeShellsAndNoOther)
{
    for (char const* shell : {"bash", "zsh", "fish"}) {
        ProgramRun const run = run_program({TABARD_PROGRAM, "completion", shell});
        EXPECT_EQ(run.exit, 0);
        EXPECT_THAT(run.out, AllOf(HasSubstr("tabard"), HasSubstr("overlay-only")));
        EXPECT_THAT(run.err, IsEmpty());
    }
    EXPECT_EQ(run_program({TABARD_PROGRAM, "completion", "csh"}).exit, 2);
    EXPECT_EQ(run_program({TABARD_PROGRAM, "completion"}).exit, 2);
}

} // namespace
} // namespace tabard::tests
