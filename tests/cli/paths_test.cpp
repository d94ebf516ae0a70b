#include "tests/support/paths.h"
#include "tests/support/run_program.h"

#include <algorithm>
#include <filesystem>
#include <string>
#include <vector>

#include <fmt/format.h>
#include <fmt/ranges.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <sys/stat.h>
#include <unistd.h>

namespace tabard::tests {
namespace {

namespace fs = std::filesystem;
using testing::AnyOf;
using testing::HasSubstr;
using testing::Not;

std::string demo() { return source_folder() / "sample_media/lantern.json"; }
std::string film() { return source_folder() / "sample_media/lantern.mp4"; }

/// A command line in which PATH stands for a path that is no good, `ending` for what its name should end in, and OUT
/// for a place to write to.
struct Use {
    std::vector<std::string> words;
    std::string ending;
    enum { input, output, folder } role = input;
};

std::vector<Use> uses()
{
    return {
        {{"check", "PATH"}, ".json"},
        {{"sheet", "PATH", "-o", "OUT.pdf"}, ".json"},
        {{"still", "PATH", "--at", "0:05", "-o", "OUT.png"}, ".json"},
        {{"render", "PATH", "-o", "OUT.mp4"}, ".json"},
        {{"listen", "PATH", "-o", "OUT.json"}, ".json"},
        {{"publish", "PATH", "-o", "OUT"}, ".json"},
        {{"retime", "PATH", "--by", "cut.csv"}, ".json"},
        {{"transpose", "PATH", "--capo", "2", "-o", "OUT.json"}, ".json"},
        {{"export", "PATH", "--to", "csv"}, ".json"},
        {{"start", "PATH", "-o", "OUT.json"}, ".mp4"},
        {{"check", demo(), "--quick", "--through", "PATH"}, ".edl"},
        {{"export", demo(), "--to", "csv", "--through", "PATH"}, ".otio"},
        {{"retime", demo(), "--by", "PATH"}, ".csv"},
        {{"retime", demo(), "--by", "PATH"}, ".mp4"},
        {{"retime", demo(), "--by", "cut.csv", "--footage", "PATH"}, ".mp4"},
        {{"render", demo(), "--through", "cut.csv", "--footage", "PATH", "-o", "OUT.mp4"}, ".mp4"},
        {{"publish", demo(), "-o", "OUT", "--speech", "PATH"}, ".srt"},
        {{"publish", demo(), "-o", "OUT", "--description", "PATH"}, ".mustache"},
        {{"publish", demo(), "-o", "OUT", "--embed", "PATH"}, ".mp4"},
        {{"publish", demo(), "-o", "OUT", "--theme", "PATH"}, ".json"},
        {{"sheet", demo(), "-o", "OUT.pdf", "--theme", "PATH"}, ".json"},
        {{"still", demo(), "--at", "0:05", "-o", "OUT.png", "--theme", "PATH"}, ".json"},
        {{"chord", "--from", "PATH"}, ".musicxml"},
        {{"check", demo(), "--quick", "--report", "PATH"}, ".html", Use::output},
        {{"sheet", demo(), "-o", "PATH"}, ".svg", Use::output},
        {{"still", demo(), "--at", "0:05", "-o", "PATH"}, ".png", Use::output},
        {{"render", demo(), "--draft", "--to", "0:01", "-o", "PATH"}, ".mp4", Use::output},
        {{"render", demo(), "--overlay-only", "--to", "0:01", "-o", "PATH"}, ".mov", Use::output},
        {{"chord", "C", "-o", "PATH"}, ".svg", Use::output},
        {{"export", demo(), "--to", "otio", "-o", "PATH"}, ".otio", Use::output},
        {{"retime", demo(), "--by", "cut.csv", "-o", "PATH"}, ".json", Use::output},
        {{"transpose", demo(), "--capo", "2", "-o", "PATH"}, ".json", Use::output},
        {{"retime", demo(), "--by", "cut.csv", "--report", "PATH"}, ".json", Use::output},
        {{"start", film(), "--plain", "-o", "PATH"}, ".json", Use::output},
        {{"publish", demo(), "-o", "PATH"}, "", Use::folder},
    };
}

/// A folder with every kind of path that is no good.
class BadPaths : public testing::Test {
protected:
    BadPaths()
    {
        write_text(folder / "cut.csv", "0:00,0:10\n");
        write_text(folder / "a file", "x");
        fs::create_directory_symlink("loop", folder / "loop");
        mkdir((folder / "sealed").c_str(), 0);
    }

    /// The command in the folder, ended after a while: opening a pipe may wait for ever.
    ProgramRun run(Use const& use, std::string const& path) const
    {
        std::vector<std::string> words{"timeout", "60", "env", "-C", folder.path(), TABARD_PROGRAM};
        for (std::string word : use.words) {
            if (word == "PATH")
                word = path;
            if (word.starts_with("OUT"))
                word = folder / ("out" + word.substr(3));
            words.push_back(word);
        }
        return run_program(words);
    }

    void expect_refusal(Use const& use, std::string const& kind, std::string const& path) const
    {
        SCOPED_TRACE(fmt::format("{} {}: {}", fmt::join(use.words, " "), use.ending, kind));
        ProgramRun const refused = run(use, path);
        EXPECT_THAT(refused.exit, AnyOf(2, 3, 4)) << refused.out << refused.err;
        EXPECT_THAT(refused.err, HasSubstr("tabard: ")); // notes may come first
        EXPECT_THAT(refused.err, Not(AnyOf(HasSubstr("unexpected error"), HasSubstr("filesystem error"),
                                           HasSubstr("exception"), HasSubstr("terminate"))));
        EXPECT_GT(refused.err.size(), 20U);
    }

    TemporaryFolder folder;
};

TEST_F(BadPaths, AreRefusedWithASentence)
{
    for (Use const& use : uses()) {
        expect_refusal(use, "empty", "");
        expect_refusal(use, "a name of 300 letters", std::string(300, 'n') + use.ending);
        std::string deep;
        while (deep.size() < 5000)
            deep += "folder/";
        expect_refusal(use, "a path of 5000 letters", deep + "x" + use.ending);
        expect_refusal(use, "in a loop of links", "loop/x" + use.ending);
        if (geteuid() != 0) // root may enter any
            expect_refusal(use, "in a folder that may not be entered", "sealed/x" + use.ending);
        expect_refusal(use, "in a file", "a file/x" + use.ending);
        if (use.role == Use::input)
            expect_refusal(use, "not there, in a name that is not UTF-8", "\xE9t\xE9" + use.ending);
        if (use.role == Use::output)
            expect_refusal(use, "in a folder that is not there", "none/x" + use.ending);
    }
}

TEST_F(BadPaths, MayBeLinksToThemselvesFoldersOrPipes)
{
    for (Use const& use : uses()) {
        std::string const name = fmt::format("it{}", use.ending);
        fs::create_symlink(name, folder / name);
        expect_refusal(use, "a link to itself", name);
        fs::remove(folder / name);
        if (use.role != Use::folder) {
            fs::create_directory(folder / name);
            expect_refusal(use, "a folder", name);
            fs::remove_all(folder / name);
        }
        mkfifo((folder / name).c_str(), 0600);
        expect_refusal(use, "a pipe", name);
        fs::remove(folder / name);
    }
}

TEST_F(BadPaths, MayBeInTheCueFile)
{
    for (std::string const& footage : {std::string(300, 'n'), std::string{"loop/x.mp4"}, std::string{"a file/x.mp4"},
                                       std::string{"."}, std::string(1500, 'd') + "/x.mp4"}) {
        write_text(
            folder / "l.json",
            fmt::format(
                R"({{"tabard": 1, "title": "t", "footage": "{}", "sections": [)"
                R"({{"name": "a", "from": "0:00", "to": "0:04", "show": [{{"chord": "C", "from": "0:01"}}]}}]}})",
                footage));
        expect_refusal({{"render", "PATH", "-o", "OUT.mp4"}, "", Use::input}, footage, "l.json");
        expect_refusal({{"still", "PATH", "--at", "0:01", "-o", "OUT.png"}, "", Use::input}, footage, "l.json");
        EXPECT_THAT(run({{"check", "PATH"}, ""}, "l.json").out, HasSubstr("[no-footage]"));
    }
}

// A name on Linux is any bytes but the slash and zero: what can be written there is.
TEST_F(BadPaths, ThatAreOnlyNotUtf8Work)
{
    std::string const name = "\xE9t\xE9 \xFF";
    EXPECT_EQ(run({{"sheet", demo(), "-o", "PATH"}, ""}, name + ".svg").exit, 0);
    EXPECT_EQ(run({{"chord", "C", "-o", "PATH"}, ""}, name + ".svg").exit, 3); // it is there
    EXPECT_EQ(run({{"publish", demo(), "-o", "PATH"}, ""}, name).exit, 0);
    fs::copy_file(demo(), folder / (name + ".json"));
    for (char const* format : {"gnu", "json", "sarif"})
        EXPECT_EQ(run({{"check", "PATH", "--quick", "--format", format}, ""}, name + ".json").exit, 1); // no film here
    EXPECT_EQ(run({{"retime", "PATH", "--by", "cut.csv", "--report", "report.json"}, ""}, name + ".json").exit, 0);
}

} // namespace
} // namespace tabard::tests
