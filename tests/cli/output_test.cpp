// What no command does to a file: write to what it reads, replace what it was not told to replace, leave half a result
// or a temporary file behind, keep what was made from footage that changed meanwhile.
#include "tests/support/footage.h"
#include "tests/support/paths.h"
#include "tests/support/run_program.h"

#include <algorithm>
#include <csignal>
#include <functional>
#include <map>
#include <regex>
#include <set>
#include <sstream>

#include <fcntl.h>
#include <fmt/format.h>
#include <fmt/ranges.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <spawn.h>
#include <sys/wait.h>

extern char** environ;

namespace tabard::tests {
namespace {

namespace fs = std::filesystem;
using testing::HasSubstr;

using Words = std::vector<std::string>;

constexpr char const* kLesson =
    R"({"tabard": 1, "title": "Lantern on the Quay", "footage": "in.mp4", "theme": "own.json",
 "instrument": "guitar", "key": "C", "meter": "2/4", "sections": [{"name": "Talk", "from": "0:00", "to": "0:02",
 "show": [{"chord": "C", "from": "0:00.2", "to": "0:01.1"}]},
 {"name": "Verse", "from": "0:02", "tempo": 120, "bars": "C | G"}]})";

// Something moves where the overlays are, in the left half; and two seconds of nothing are followed by one second each
// of C major (C3 E3 G3 C4 E4) and G major (G2 B2 D3 G3 B3), struck twice.
constexpr char const* kMovingLeft = "testsrc2=s=160x96:r=25:d=4,drawbox=x=80:w=80:h=96:color=gray:t=fill";
constexpr char const* kTwoChords =
    "aevalsrc='0.1*exp(-4*mod(t,0.5))*("
    "between(t,2,2.999)*(sin(2*PI*130.81*t)+sin(2*PI*164.81*t)+sin(2*PI*196*t)+sin(2*PI*261.63*t)+sin(2*PI*329.63*t))+"
    "between(t,3,3.999)*(sin(2*PI*98*t)+sin(2*PI*123.47*t)+sin(2*PI*146.83*t)+sin(2*PI*196*t)+sin(2*PI*246.94*t)))'"
    ":s=44100:d=4";
constexpr char const* kChords = R"(<?xml version="1.0"?><score-partwise version="4.0"><part-list>
<score-part id="P1"><part-name>a</part-name></score-part></part-list><part id="P1"><measure number="1">
<harmony><root><root-step>C</root-step></root><kind>major</kind></harmony></measure></part></score-partwise>)";

/// One option of a command that names an output.
struct Output {
    std::string name;
    Words command;                 ///< up to that option
    std::string extension;         ///< ".mp4"
    std::vector<std::string> read; ///< its inputs
    std::string in_folder;         ///< where the option names a folder: a file that is written there
};

std::vector<Output> const& outputs()
{
    static std::vector<Output> const all{
        {"render", {"render", "lesson.json", "--no-cache", "-o"}, ".mp4", {"lesson.json", "in.mp4", "own.json"}, ""},
        {"render through a cut",
         {"render", "lesson.json", "--through", "cut.csv", "--footage", "new.mp4", "--no-cache", "-o"},
         ".mp4",
         {"cut.csv", "new.mp4"},
         ""},
        {"overlay track",
         {"render", "lesson.json", "--overlay-only", "-o"},
         ".mov",
         {"lesson.json", "in.mp4", "own.json"},
         ""},
        {"switchable film",
         {"render", "lesson.json", "--switchable", "-o"},
         ".mkv",
         {"lesson.json", "in.mp4", "own.json"},
         ""},
        {"still", {"still", "lesson.json", "--at", "0:01", "-o"}, ".png", {"lesson.json", "in.mp4", "own.json"}, ""},
        {"sheet", {"sheet", "lesson.json", "--theme", "own.json", "-o"}, ".pdf", {"lesson.json", "own.json"}, ""},
        {"publish",
         {"publish", "lesson.json", "--speech", "said.srt", "--description", "words.mustache", "--embed", "new.mp4",
          "-o"},
         "",
         {"lesson.json", "in.mp4", "said.srt", "words.mustache", "new.mp4", "own.json"},
         "cover.png"},
        {"embed",
         {"publish", "lesson.json", "--embed", "new.mp4", "-o"},
         "",
         {"lesson.json", "in.mp4", "new.mp4"},
         "new.mp4"},
        {"chord", {"chord", "--from", "chords.xml", "-o"}, ".svg", {"chords.xml"}, ""},
        {"check --report",
         {"check", "lesson.json", "--quick", "--report"},
         ".html",
         {"lesson.json", "in.mp4", "own.json"},
         ""},
        {"retime",
         {"retime", "lesson.json", "--by", "cut.csv", "--footage", "new.mp4", "-o"},
         ".json",
         {"lesson.json", "in.mp4", "cut.csv", "new.mp4"},
         ""},
        {"retime --report",
         {"retime", "lesson.json", "--by", "cut.csv", "--footage", "new.mp4", "--report"},
         ".json",
         {"lesson.json", "in.mp4", "cut.csv", "new.mp4"},
         ""},
        {"transpose", {"transpose", "lesson.json", "--capo", "2", "-o"}, ".json", {"lesson.json", "in.mp4"}, ""},
        {"listen", {"listen", "lesson.json", "-o"}, ".json", {"lesson.json", "in.mp4"}, ""},
        {"start", {"start", "in.mp4", "-o"}, ".json", {"in.mp4"}, ""},
        {"export",
         {"export", "lesson.json", "--through", "cut.csv", "--to", "vtt", "-o"},
         ".vtt",
         {"lesson.json", "in.mp4", "cut.csv"},
         ""},
        {"jobs", {"jobs", ".", "--to", "films", "-o"}, ".ninja", {"lesson.json", "in.mp4", "own.json"}, ""},
    };
    return all;
}

class OutputsOf : public testing::Test {
protected:
    OutputsOf()
    {
        make_footage(file("in.mp4"), kMovingLeft,
                     {"-f", "lavfi", "-i", kTwoChords, "-pix_fmt", "yuv420p", "-preset", "ultrafast", "-g", "10"});
        fs::copy_file(file("in.mp4"), file("new.mp4"));
        write_text(file("lesson.json"), kLesson);
        write_text(file("cut.csv"), "from,to\n0:00,0:01.6\n");
        write_text(file("said.srt"), "1\n00:00:00,500 --> 00:00:01,000\nThis is C\n");
        write_text(file("words.mustache"), "{{title}}\n");
        fs::copy_file(source_folder() / "templates/themes/dark_card.json", file("own.json"));
        write_text(file("chords.xml"), kChords);
        m_inputs = contents();
    }

    fs::path file(std::string const& name) const { return m_folder / name; }

    /// Every file below the folder by its name.
    std::map<std::string, std::string> contents() const
    {
        std::map<std::string, std::string> found;
        for (auto const& entry : fs::recursive_directory_iterator(m_folder.path()))
            if (!entry.is_symlink() && entry.is_regular_file())
                found[entry.path().lexically_relative(m_folder.path())] = read_text(entry.path());
        return found;
    }

    /// The program in this folder. `setting` comes before it: variables for env(1).
    Words words(Words const& command, std::string const& output, bool force, Words const& setting = {}) const
    {
        Words all{"env", "-C", m_folder.path(), "XDG_CACHE_HOME=" + m_cache.path().string()};
        all.insert(all.end(), setting.begin(), setting.end());
        all.push_back(TABARD_PROGRAM);
        all.insert(all.end(), command.begin(), command.end());
        all.push_back(output);
        if (force)
            all.push_back("-f");
        return all;
    }

    TemporaryFolder m_folder;
    TemporaryFolder m_cache;
    std::map<std::string, std::string> m_inputs;
};

/// Makes the entry at `place` be `input` under another name.
using Disguise = std::function<void(fs::path const& input, fs::path const& place)>;
std::vector<std::pair<char const*, Disguise>> const kDisguises{
    {"symlink", [](auto const& input, auto const& place) { fs::create_symlink(input, place); }},
    {"hard link", [](auto const& input, auto const& place) { fs::create_hard_link(input, place); }},
};

TEST_F(OutputsOf, EveryCommandLeaveItsInputsAloneUnderWhateverName)
{
    for (Output const& output : outputs()) {
        bool const in_folder = !output.in_folder.empty();
        for (std::string const& input : output.read) {
            for (auto const& [kind, disguise] : kDisguises) {
                SCOPED_TRACE(fmt::format("{}: {} of {}", output.name, kind, input));
                std::string const name = in_folder ? "out" : "out" + output.extension;
                fs::path const place = in_folder ? file("out") / output.in_folder : file(name);
                fs::create_directories(place.parent_path());
                disguise(file(input), place);
                ProgramRun const run = run_program(words(output.command, name, true));
                EXPECT_EQ(run.exit, 3) << run.err;
                EXPECT_THAT(run.err, HasSubstr("is an input and is never written to"));
                in_folder ? fs::remove_all(file("out")) : fs::remove(place);
                ASSERT_EQ(contents() == m_inputs, true) << "an input or a leftover";
            }
            if (in_folder)
                continue;
            for (std::string const& name : {input, "./" + input, file(input).string()}) {
                bool const force = name != input;
                SCOPED_TRACE(fmt::format("{} -o {}{}", output.name, name, force ? " -f" : ""));
                EXPECT_NE(run_program(words(output.command, name, force)).exit, 0);
                ASSERT_EQ(contents() == m_inputs, true) << "an input or a leftover";
            }
        }
    }
}

TEST_F(OutputsOf, PublishLeaveTheFilmThatGetsChaptersAlone)
{
    ProgramRun const run = run_program(words({"publish", "lesson.json", "--embed", "in.mp4", "-o"}, ".", true));
    EXPECT_EQ(run.exit, 3) << run.err;
    EXPECT_TRUE(contents() == m_inputs) << "nothing is written, not even the captions";
}

TEST_F(OutputsOf, EveryCommandSayBeforeTheWorkWhereTheyCannotGo)
{
    fs::create_directory(file("folder"));
    write_text(file("folder/letter"), "");
    fs::create_symlink("loop", file("loop"));
    m_inputs = contents();
    for (Output const& output : outputs()) {
        if (!output.in_folder.empty())
            continue;
        fs::remove(file("a folder" + output.extension));
        fs::create_directory(file("a folder" + output.extension));
        for (std::string const& name :
             {"a folder" + output.extension, "slash" + output.extension + "/", "none/a" + output.extension,
              std::string(300, 'n') + output.extension, "lesson.json/a" + output.extension}) {
            SCOPED_TRACE(fmt::format("{} -o {}", output.name, name));
            if (output.name == "overlay track" && name.ends_with('/'))
                continue; // a folder of PNG files
            ProgramRun const run = run_program(words(output.command, name, true));
            // A name without an ending is a wrong value.
            EXPECT_THAT(run.exit, testing::AnyOf(3, 4, name.ends_with('/') ? 2 : 3));
            EXPECT_THAT(run.err, testing::Not(HasSubstr("unexpected")));
            ASSERT_EQ(contents() == m_inputs, true);
        }
        fs::remove(file("a folder" + output.extension));
    }
}

// A film that has nothing to do with the footage: to seek the cut in it fails, and comes later.
TEST_F(OutputsOf, EveryCommandSayWhereTheyCannotGoBeforeTheySeekACut)
{
    make_footage(file("other.mp4"), "mandelbrot=s=160x96:r=25",
                 {"-f", "lavfi", "-i", "anoisesrc=d=4", "-t", "4", "-pix_fmt", "yuv420p", "-preset", "ultrafast"});
    fs::create_directory(file("beside"));
    write_text(file("beside/cover.png"), "");
    fs::create_directory(file("embedded"));
    write_text(file("embedded/in.mp4"), "");
    std::vector<std::pair<Words, std::string>> const commands{
        {{"render", "lesson.json", "--footage", "other.mp4"}, ".mp4"},
        {{"render", "lesson.json", "--footage", "other.mp4", "--overlay-only"}, ".mov"},
        {{"still", "lesson.json", "--footage", "other.mp4", "--at", "0:01"}, ".png"},
        {{"check", "lesson.json", "--footage", "other.mp4"}, ".html"},
        {{"retime", "lesson.json", "--footage", "other.mp4"}, ".json"},
        {{"export", "lesson.json", "--to", "csv"}, ".csv"},
        {{"publish", "lesson.json"}, ""},
        {{"publish", "lesson.json", "--embed", "in.mp4"}, ""},
    };
    for (auto const& [command, extension] : commands) {
        Words all = command;
        all.push_back(command[0] == "retime" ? "--by" : "--through");
        all.push_back("other.mp4");
        all.push_back(command[0] == "check" ? "--report" : "-o");
        bool const folder = command[0] == "publish";
        std::string const there = !folder ? "there" + extension : command.size() > 2 ? "embedded" : "beside";
        if (!folder)
            write_text(file(there), "");
        SCOPED_TRACE(fmt::format("{}", fmt::join(all, " ")));
        ProgramRun const kept = run_program(words(all, there, false));
        EXPECT_EQ(kept.exit, 3);
        EXPECT_THAT(kept.err, HasSubstr("--force"));
        ProgramRun const nowhere = run_program(words(all, folder ? "lesson.json/a" : "none/a" + extension, false));
        EXPECT_THAT(nowhere.exit, testing::AnyOf(3, 4));
        EXPECT_THAT(nowhere.err, testing::Not(HasSubstr("of its sound")));
        if (!folder) {
            fs::remove(file(there));
            fs::create_hard_link(file("other.mp4"), file(there));
            ProgramRun const input = run_program(words(all, there, true));
            EXPECT_EQ(input.exit, 3);
            EXPECT_THAT(input.err, HasSubstr("is an input and is never written to"));
            fs::remove(file(there));
        }
        ProgramRun const sought = run_program(words(all, "free" + extension, false));
        EXPECT_THAT(sought.err, HasSubstr("of its sound comes from the old film"));
    }
}

/// What a command wrote, whatever that is called.
using Contents = std::map<std::string, std::string>;

constexpr char const* kMoments[] = {"fsync:1", "rename:1", "rename:2", "write:1", "write:3"};

std::string preloaded() { return std::string("LD_PRELOAD=") + TABARD_KILL_AT; }
// The sanitizers' own libraries want to be the first.
std::string unordered() { return "ASAN_OPTIONS=verify_asan_link_order=0"; }

/// Commands that succeed on the small lesson; one writes into the cue file itself.
std::vector<std::pair<Words, std::string>> writing_commands()
{
    return {{{"render", "lesson.json", "--no-cache", "-o"}, "out.mp4"},
            {{"render", "lesson.json", "-o"}, "cached.mp4"},
            {{"render", "lesson.json", "--overlay-only", "-o"}, "out.mov"},
            {{"render", "lesson.json", "--overlay-only", "--to", "0:00.4", "-o"}, "frames/"},
            {{"render", "lesson.json", "--switchable", "-o"}, "out.mkv"},
            {{"still", "lesson.json", "--at", "0:01", "-o"}, "out.png"},
            {{"sheet", "lesson.json", "--large-print", "-o"}, "sheet.png"},
            {{"publish", "lesson.json", "--speech", "said.srt", "--embed", "new.mp4", "-o"}, "beside"},
            {{"chord", "C", "-o"}, "out.svg"},
            {{"check", "lesson.json", "--quick", "--report"}, "out.html"},
            {{"retime", "lesson.json", "--by", "cut.csv", "--report", "report.json", "-o"}, "new.json"},
            {{"transpose", "lesson.json", "--key", "D", "-o"}, "in-d.json"},
            {{"transpose", "--capo", "2", "--in-place"}, "lesson.json"},
            {{"listen", "lesson.json", "-o"}, "timed.json"},
            {{"check", "--place"}, "lesson.json"},
            {{"start", "in.mp4", "--plain", "-o"}, "start.json"},
            {{"start", "in.mp4", "-o"}, "start-heard.json"},
            {{"export", "lesson.json", "--to", "otio", "-o"}, "out.otio"},
            {{"jobs", ".", "--to", "films", "-o"}, "build.ninja"}};
}

/// The options of a command whose help says that they write: "-o,--output" is "-o".
std::vector<std::string> writing_options(std::string const& command)
{
    std::vector<std::string> found;
    std::istringstream help(run_program({TABARD_PROGRAM, command, "--help"}).out);
    std::string name; // what a line tells of
    for (std::string line; std::getline(help, line);) {
        if (!line.starts_with("   "))
            name = line.starts_with("  -") ? line.substr(2, line.find_first_of(" ,", 2) - 2) : "";
        static std::regex const writes(R"(\b([Ww]rite|written)\b)");
        if (!name.empty() && (name == "-o" || std::regex_search(line, writes)) && !std::ranges::count(found, name))
            found.push_back(name);
    }
    return found;
}

TEST(Outputs, OfEveryCommandAreInTheTablesHere)
{
    std::set<std::pair<std::string, std::string>> refused;
    std::set<std::pair<std::string, std::string>> killed;
    for (Output const& output : outputs())
        for (std::string const& word : output.command)
            refused.emplace(output.command[0], word);
    for (auto const& [command, target] : writing_commands())
        for (std::string const& word : command)
            killed.emplace(command[0], word);
    refused.emplace("check", "--place");  // what it writes to is its input
    refused.emplace("render", "--share"); // it writes to the cache alone, whose writers are killed elsewhere
    killed.emplace("render", "--share");
    std::istringstream help(run_program({TABARD_PROGRAM, "--help"}).out);
    std::string line;
    while (std::getline(help, line) && line != "Subcommands:")
        ;
    int options = 0;
    while (std::getline(help, line) && line.starts_with("  ")) {
        std::string const command = line.substr(2, line.find(' ', 2) - 2);
        for (std::string const& option : writing_options(command)) {
            ++options;
            EXPECT_TRUE(refused.contains({command, option})) << command << ' ' << option;
            EXPECT_TRUE(killed.contains({command, option})) << command << ' ' << option;
        }
    }
    EXPECT_GE(options, 13);
}

// The old results are there, and the lesson has changed: after a kill each file is the old one or the new one, whole,
// and the next run ends as if nothing had happened.
TEST_F(OutputsOf, EveryCommandAreOldOrNewAndWholeAfterAKill)
{
    int killed = 0;
    for (auto const& [command, target] : writing_commands()) {
        bool const folder = target.ends_with('/');
        write_text(file("lesson.json"), kLesson);
        run_program(words(command, target, true));
        Contents before = contents();
        EXPECT_TRUE(before != m_inputs) << command[0];
        std::string changed = kLesson;
        changed.replace(changed.find("\"C\", \"from"), 3, "\"G\"").replace(changed.find("Lantern"), 7, "Beacon");
        if (folder)
            fs::remove_all(file(target)); // a new one is asked for
        write_text(file("lesson.json"), changed);
        before["lesson.json"] = changed;
        run_program(words(command, target, true));
        Contents const after = contents();
        for (char const* const moment : kMoments) {
            SCOPED_TRACE(fmt::format("{} -o {} ended at {}", command[0], target, moment));
            for (auto const& [name, text] : before)
                write_text(file(name), text);
            if (folder)
                fs::remove_all(file(target));
            auto const run = run_program(
                words(command, target, true, {preloaded(), unordered(), fmt::format("TABARD_KILL_AT={}", moment)}));
            killed += run.exit == 128 + SIGKILL;
            for (auto const& [name, text] : contents()) {
                if (name.find(".part-") != std::string::npos)
                    continue;
                bool const old = before.contains(name) && before.at(name) == text;
                EXPECT_TRUE(old || (after.contains(name) && after.at(name) == text)) << name;
            }
            if (folder)
                fs::remove_all(file(target));
            auto const again = run_program(words(command, target, true));
            EXPECT_TRUE(contents() == after) << again.err;
        }
        fs::remove_all(file(target));
        write_text(file("lesson.json"), kLesson);
    }
    // Each command ends at its first write and its first rename; PNG folders, renders and publish at all five.
    EXPECT_GE(killed, static_cast<int>(writing_commands().size()) * 3);
}

TEST_F(OutputsOf, CommandsDoNotReplaceOnFileSystemsWithoutLinks)
{
    Words const setting{preloaded(), unordered(), "TABARD_NO_LINKS=1"};
    Words const command{"export", "lesson.json", "--to", "csv", "-o"};
    EXPECT_EQ(run_program(words(command, "out.csv", false, setting)).exit, 0);
    std::string const text = read_text(file("out.csv"));
    EXPECT_THAT(text, HasSubstr("C"));
    EXPECT_EQ(run_program(words(command, "out.csv", false, setting)).exit, 3);
    EXPECT_EQ(contents().size(), m_inputs.size() + 1);
}

/// Runs the words until the process stops itself (SIGSTOP), lets `meanwhile` happen, and waits for its end.
int run_with_a_pause(Words const& all, std::function<void()> const& meanwhile, fs::path const& messages)
{
    std::vector<char*> arguments;
    for (std::string const& word : all)
        arguments.push_back(const_cast<char*>(word.c_str()));
    arguments.push_back(nullptr);
    posix_spawn_file_actions_t actions;
    posix_spawn_file_actions_init(&actions);
    posix_spawn_file_actions_addopen(&actions, 2, messages.c_str(), O_WRONLY | O_CREAT | O_TRUNC, 0600);
    pid_t child = 0;
    EXPECT_EQ(::posix_spawnp(&child, "env", &actions, nullptr, arguments.data(), environ), 0);
    posix_spawn_file_actions_destroy(&actions);
    int status = 0;
    ::waitpid(child, &status, WUNTRACED);
    EXPECT_TRUE(WIFSTOPPED(status)) << read_text(messages);
    if (!WIFSTOPPED(status))
        return WEXITSTATUS(status);
    meanwhile();
    ::kill(child, SIGCONT);
    ::waitpid(child, &status, 0);
    return WIFEXITED(status) ? WEXITSTATUS(status) : 128 + WTERMSIG(status);
}

Words const kPause{preloaded(), unordered(), "TABARD_KILL_AT=write:1", "TABARD_KILL_WITH=19"}; // SIGSTOP

TEST_F(OutputsOf, RenderAreNotKeptWhereTheFootageChangesMeanwhile)
{
    std::string const footage = read_text(file("in.mp4"));
    TemporaryFolder const aside;
    std::vector<std::pair<char const*, std::function<void()>>> const changes{
        {"truncated", [&] { fs::resize_file(file("in.mp4"), footage.size() / 2); }},
        {"overwritten", [&] { write_text(file("in.mp4"), std::string(footage.size(), 'x')); }},
        {"replaced",
         [&] {
             write_text(aside / "new.mp4", footage);
             fs::rename(aside / "new.mp4", file("in.mp4"));
         }},
        {"removed", [&] { fs::remove(file("in.mp4")); }},
    };
    for (auto const& [what, change] : changes)
        for (Words const& command :
             {Words{"render", "lesson.json", "--no-cache", "-o"},
              Words{"render", "lesson.json", "--no-cache", "--whole", "-o"},
              Words{"render", "lesson.json", "--overlay-only", "--overlay-codec", "rle", "-o"}}) {
            SCOPED_TRACE(fmt::format("{} {}", what, command[3]));
            write_text(file("in.mp4"), footage);
            write_text(file("out.mp4"), "the old film");
            int const exit = run_with_a_pause(words(command, "out.mp4", true, kPause), change, aside / "err");
            EXPECT_THAT(exit, testing::AnyOf(3, 4)) << read_text(aside / "err");
            EXPECT_EQ(read_text(file("out.mp4")), "the old film");
            fs::remove(file("out.mp4"));
            write_text(file("in.mp4"), footage);
            EXPECT_EQ(contents().size(), m_inputs.size()) << "a leftover";
        }
}

TEST_F(OutputsOf, EveryCommandKeepAFileThatAppearsMeanwhile)
{
    TemporaryFolder const aside;
    for (auto const& [command, target] : writing_commands()) {
        if (command[0] == "publish" || target.ends_with('/') || target == "lesson.json" ||
            target == "cached.mp4") // the cache is written first
            continue;
        SCOPED_TRACE(command[0]);
        int const exit = run_with_a_pause(
            words(command, target, false, kPause), [&] { write_text(file(target), "somebody else's"); }, aside / "err");
        EXPECT_EQ(exit, 3) << read_text(aside / "err");
        EXPECT_THAT(read_text(aside / "err"), HasSubstr("--force"));
        EXPECT_EQ(read_text(file(target)), "somebody else's");
        fs::remove(file(target));
        EXPECT_TRUE(contents() == m_inputs) << "a leftover";
    }
}

} // namespace
} // namespace tabard::tests
