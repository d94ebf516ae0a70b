#include "tests/cli/pseudo_terminal.h"
#include "tests/support/paths.h"
#include "tests/support/run_program.h"

#include <algorithm>
#include <csignal>
#include <filesystem>
#include <regex>
#include <string>
#include <vector>

#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <unistd.h>

namespace tabard::tests {
namespace {

namespace fs = std::filesystem;
using testing::HasSubstr;
using testing::IsEmpty;
using testing::Not;

std::string demo() { return source_folder() / "sample_media/lantern.json"; }

/// The program as a shell starts it after `before`, with its streams redirected by `after`.
std::vector<std::string> by_shell(std::string const& before, std::vector<std::string> const& words,
                                  std::string const& after = "")
{
    std::vector<std::string> shell{"sh", "-c", before + " exec \"$0\" \"$@\" " + after, TABARD_PROGRAM};
    shell.insert(shell.end(), words.begin(), words.end());
    return shell;
}

std::vector<std::string> files_in(fs::path const& folder)
{
    std::vector<std::string> names;
    for (auto const& entry : fs::directory_iterator(folder))
        names.push_back(entry.path().filename());
    std::ranges::sort(names);
    return names;
}

TEST(Messages, ThatCannotBePrintedDoNotEndTheWork)
{
    TemporaryFolder const folder;
    ASSERT_EQ(run_program({TABARD_PROGRAM, "sheet", demo(), "-o", folder / "as_ever.svg"}).exit, 0);
    std::string const as_ever = read_text(folder / "as_ever.svg");
    // The message must not land in the sheet either: with descriptor 2 closed the first file opened would get it.
    for (char const* redirection : {"2>&-", "2>/dev/full", ">&- 2>&-", "<&- >&- 2>&-"}) {
        SCOPED_TRACE(redirection);
        std::string const sheet = folder / "sheet.svg";
        EXPECT_EQ(run_program(by_shell("", {"sheet", demo(), "-o", sheet, "-f"}, redirection)).exit, 0);
        EXPECT_TRUE(read_text(sheet) == as_ever);
        fs::remove(sheet);
    }
}

TEST(Messages, MayLoseTheirTerminalInTheMiddleOfAFilm)
{
    TemporaryFolder const folder;
    std::vector<std::string> const render{"render", demo(), "--draft", "--to", "0:04", "-o", folder / "film.mp4"};
    EXPECT_EQ(run_on_vanishing_terminal(by_shell("trap '' HUP;", render)).exit, 0); // as nohup does
    EXPECT_EQ(files_in(folder.path()), std::vector<std::string>{"film.mp4"});
}

TEST(Results, ThatCannotBePrintedAreAnErrorAfterTheWork)
{
    TemporaryFolder const folder;
    std::string const pipe = folder / "pipe";
    struct Stream {
        std::string before;
        std::string after;
    };
    for (auto const& [before, after] :
         {Stream{"", ">/dev/full"},
          {"", ">&-"},
          {"mkfifo " + pipe + "; exec 3<>" + pipe + " 4>" + pipe + " 3<&-;", ">&4"}}) { // a pipe nobody reads
        SCOPED_TRACE(after);
        std::string const picture = folder / "c.svg";
        ProgramRun const run = run_program(by_shell(before, {"chord", "C", "--json", "-o", picture}, after));
        EXPECT_EQ(run.exit, 4);
        EXPECT_THAT(run.err, HasSubstr("cannot write to standard output"));
        EXPECT_TRUE(fs::remove(picture));
    }
}

/// True where a terminal would obey: a control character of ECMA-48 other than line end, carriage return (the terminal
/// driver adds one to a line end) and tab, or a direction of UAX #9, in UTF-8.
bool commands_the_terminal(std::string const& text)
{
    for (std::size_t i = 0; i < text.size(); ++i) {
        auto const byte = static_cast<unsigned char>(text[i]);
        auto const next = [&](std::size_t by) {
            return static_cast<unsigned char>(i + by < text.size() ? text[i + by] : 0);
        };
        bool const c0 = (byte < 0x20 && byte != '\n' && byte != '\r' && byte != '\t') || byte == 0x7F;
        bool const c1 = byte == 0xC2 && next(1) < 0xA0;
        bool const bidi = byte == 0xE2 && ((next(1) == 0x80 && next(2) >= 0xAA && next(2) <= 0xAE) ||
                                           (next(1) == 0x81 && next(2) >= 0xA6 && next(2) <= 0xA9));
        if (c0 || c1 || bidi)
            return true;
    }
    return false;
}

// Set the window's title (ECMA-48 OSC), the C1 form of CSI, a right-to-left override, a byte that is no UTF-8.
constexpr char const* kHostile = "\x1B]0;title\x07 \xC2\x9B"
                                 "2J \xE2\x80\xAE gnp \xFF";

TEST(Messages, ShowEscapeSequencesOfForeignFilesInsteadOfSendingThem)
{
    TemporaryFolder const folder;
    std::string const hostile = kHostile;
    std::string const lesson = folder / (hostile + ".json");
    write_text(lesson, "{");
    write_text(folder / "cut.edl", "TITLE: x\n001  " + hostile + " V C nonsense\n");
    write_text(folder / "cut.csv", "from,to\n" + hostile + ",2\n");
    write_text(folder / "cut.otio", "{\"OTIO_SCHEMA\": \"" + hostile + "\"}");
    write_text(folder / "theme.json", "{\"" + hostile + "\": 1}");
    write_text(folder / "words.mustache", "{{#" + hostile + "}}");
    write_text(folder / "chords.musicxml", "<score-partwise><" + hostile);
    std::vector<std::vector<std::string>> const commands{
        {"check", lesson},
        {"retime", demo(), "--by", folder / "cut.edl"},
        {"retime", demo(), "--by", folder / "cut.csv"},
        {"retime", demo(), "--by", folder / "cut.otio"},
        {"retime", demo(), "--by", folder / hostile},
        {"sheet", demo(), "-o", folder / "s.pdf", "--theme", folder / "theme.json"},
        {"publish", demo(), "-o", folder / "beside", "--description", folder / "words.mustache"},
        {"chord", "--from", folder / "chords.musicxml"},
        {"chord", hostile},
        {"start", folder / hostile},
        {hostile},
    };
    for (auto words : commands) {
        SCOPED_TRACE(testing::PrintToString(words));
        words.insert(words.begin(), TABARD_PROGRAM);
        ProgramRun const piped = run_program(words);
        EXPECT_NE(piped.exit, 0);
        EXPECT_FALSE(commands_the_terminal(piped.err)) << testing::PrintToString(piped.err);
        // Our own are a wiped progress bar (ECMA-48 EL) and colours.
        words.insert(words.begin(), {"env", "NO_COLOR=1"});
        auto const shown = std::regex_replace(run_on_terminal(words).out, std::regex{"\r\x1B\\[K"}, "");
        EXPECT_FALSE(commands_the_terminal(shown)) << testing::PrintToString(shown);
    }
}

TEST(Results, AreForProgramsAsTheyAreAndForTerminalsHarmless)
{
    TemporaryFolder const folder;
    std::string const lesson = folder / (std::string{kHostile} + ".json");
    write_text(lesson, "{}");
    EXPECT_THAT(run_program({TABARD_PROGRAM, "check", lesson}).out, HasSubstr(lesson + ":1:"));
    ProgramRun const shown = run_on_terminal({"env", "NO_COLOR=1", TABARD_PROGRAM, "check", lesson});
    EXPECT_THAT(shown.out, HasSubstr("\\u001b]0;title\\u0007 \\u009b2J \\u202e gnp \\xff.json:1:"));
    // Our own colour stays: ECMA-48 SGR 1;31.
    ProgramRun const coloured =
        run_on_terminal({"env", "-u", "NO_COLOR", TABARD_PROGRAM, "check", folder / "none.json"});
    EXPECT_THAT(coloured.out, HasSubstr("\x1B[1;31mtabard:\x1B[0m"));
}

/// Renders to film.mp4 in `folder` and sends `signal` once something is there; gives the process's end.
ProgramRun render_and_send(fs::path const& folder, int signal, std::string const& before)
{
    std::vector<std::string> const render{"render", demo(), "--draft", "--to", "0:04", "-o", folder / "film.mp4"};
    return run_and_disturb(by_shell(before, render), [&](pid_t child) {
        bool const begun = !files_in(folder).empty();
        if (begun)
            kill(child, signal);
        return begun;
    });
}

// 128 + the number of the signal, as shells say it (POSIX.1-2017, Shell Command Language, 2.8.2); SIGTERM as Ctrl-C.
TEST(Signals, StopARenderThatLeavesNothingBehind)
{
    for (auto const& [signal, exit] : {std::pair{SIGHUP, 129}, {SIGINT, 130}, {SIGTERM, 130}}) {
        TemporaryFolder const folder;
        ProgramRun const run = render_and_send(folder.path(), signal, "");
        EXPECT_EQ(run.exit, exit) << run.err;
        EXPECT_THAT(files_in(folder.path()), IsEmpty());
    }
}

TEST(Signals, ThatComeTwiceLeaveNothingThatTheNextRunDoesNotRemove)
{
    TemporaryFolder const folder;
    std::vector<std::string> const render{TABARD_PROGRAM, "render", demo(), "--draft",
                                          "--to",         "0:04",   "-o",   folder / "film.mp4"};
    ProgramRun const run = run_and_disturb(render, [&](pid_t child) {
        if (!files_in(folder.path()).empty())
            kill(child, SIGINT); // again and again until it ends
        return false;
    });
    EXPECT_EQ(run.exit, 130);
    EXPECT_EQ(run_program(render).exit, 0);
    EXPECT_EQ(files_in(folder.path()), std::vector<std::string>{"film.mp4"});
}

// prctl(2), PR_SET_PDEATHSIG: sent again for each thread of the parent that takes the child over and dies too.
TEST(Signals, ThatComeAtOnceAreOneRequest)
{
    TemporaryFolder const folder;
    std::vector<std::string> const render{TABARD_PROGRAM, "render", demo(), "--draft", "-o", folder / "film.mp4"};
    ProgramRun const run = run_and_disturb(render, [&](pid_t child) {
        if (files_in(folder.path()).empty())
            return false;
        for (int n = 0; n < 4; ++n) {
            kill(child, SIGTERM);
            usleep(10'000);
        }
        return true;
    });
    EXPECT_EQ(run.exit, 130) << run.err;
    EXPECT_THAT(files_in(folder.path()), IsEmpty());
}

TEST(Signals, ThatTheCallerIgnoresStayIgnored)
{
    TemporaryFolder const folder;
    ProgramRun const run = render_and_send(folder.path(), SIGHUP, "trap '' HUP;");
    EXPECT_EQ(run.exit, 0) << run.err;
    EXPECT_EQ(files_in(folder.path()), std::vector<std::string>{"film.mp4"});
}

TEST(Signals, StopPublishingBetweenItsFilesAndInTheMiddleOfTheFilm)
{
    for (char const* name : {"captions.vtt", ".lantern"}) {
        TemporaryFolder const folder;
        fs::path const beside = folder / "beside";
        ProgramRun const run = run_and_disturb(
            {TABARD_PROGRAM, "publish", demo(), "-o", beside, "--embed", source_folder() / "sample_media/lantern.mp4"},
            [&](pid_t child) {
                bool const begun = fs::exists(beside) && std::ranges::any_of(files_in(beside), [&](auto const& file) {
                                       return file.starts_with(name);
                                   });
                if (begun)
                    kill(child, SIGTERM);
                return begun;
            });
        if (run.exit == 0 || !fs::exists(beside))
            continue; // it was faster than the signal
        EXPECT_EQ(run.exit, 130) << run.err;
        for (auto const& file : files_in(beside))
            EXPECT_THAT(file, Not(testing::StartsWith("."))); // temporary files are hidden
    }
}

// POSIX ulimit -f counts 512 bytes; write() then fails with EFBIG.
TEST(Signals, OfAFileThatGrowsTooLargeBecomeAnError)
{
    TemporaryFolder const folder;
    ProgramRun const run = run_program(by_shell(
        "ulimit -f 16;", {"render", demo(), "--draft", "--no-cache", "--to", "0:04", "-o", folder / "film.mp4"}));
    EXPECT_EQ(run.exit, 4);
    EXPECT_THAT(run.err, HasSubstr("File too large"));
    EXPECT_THAT(files_in(folder.path()), IsEmpty());
}

} // namespace
} // namespace tabard::tests
