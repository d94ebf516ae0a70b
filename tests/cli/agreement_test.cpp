// Commands that belong together say the same of a lesson.
#include "tests/support/footage.h"
#include "tests/support/run_program.h"

#include <cstdlib>
#include <filesystem>
#include <string>
#include <string_view>
#include <vector>

#include <fmt/format.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

namespace tabard::tests {
namespace {

namespace fs = std::filesystem;
using testing::HasSubstr;
using testing::IsEmpty;
using testing::Not;

/// A folder with two seconds of film, and lessons on it.
class Agreement : public testing::Test {
protected:
    Agreement()
    {
        setenv("XDG_CACHE_HOME", (m_folder / "cache").c_str(), 1);
        make_footage(m_folder / "in.mp4", "color=gray:s=640x360:r=25:d=2",
                     {"-f", "lavfi", "-i", "sine=d=2", "-pix_fmt", "yuv420p", "-preset", "ultrafast", "-g", "10"});
    }
    ~Agreement() override { unsetenv("XDG_CACHE_HOME"); }

    std::string file(std::string const& name) const { return m_folder / name; }

    std::string lesson(std::string_view sections, std::string_view more = "",
                       std::string const& name = "lesson.json") const
    {
        write_text(file(name), fmt::format(R"({{"tabard": 1, "title": "Lantern on the Quay", "footage": "in.mp4",{}
 "sections": [{}]}})",
                                           more, sections));
        return file(name);
    }

    static ProgramRun tabard(std::vector<std::string> words)
    {
        words.insert(words.begin(), TABARD_PROGRAM);
        return run_program(words);
    }

    /// The commands that make something of a lesson.
    std::vector<std::vector<std::string>> makers(std::string const& cues) const
    {
        return {{"render", cues, "--draft", "-f", "-o", file("film.mp4")},
                {"render", cues, "--overlay-only", "-f", "-o", file("track.mov")},
                {"render", cues, "--switchable", "-f", "-o", file("film.mkv")},
                {"render", cues, "--share", "1/2"},
                {"render", cues, "--plan"},
                {"still", cues, "--at", "0:01", "-f", "-o", file("still.png")},
                {"sheet", cues, "-f", "-o", file("sheet.pdf")},
                {"publish", cues, "-f", "-o", file("beside")}};
    }

    TemporaryFolder m_folder;
};

constexpr std::string_view kUntouched = R"({"name": "Talk 1", "from": "0:00"},
 {"name": "Part 1", "from": "0:01", "tempo": 76})";
constexpr std::string_view kChord = R"({"name": "Talk", "from": "0:00", "show": [{"chord": "C", "from": "0:00"}]})";
// A chord after the film's end (an error), one that is no chord (an error), and an unknown key (a warning).
constexpr std::string_view kMistakes =
    R"({"name": "Talk", "from": "0:00", "to": "0:02", "colour": 1, "show": [{"chord": "Gibb", "from": "0:00"}]},
 {"name": "Late", "from": "0:05", "to": "0:09", "show": [{"chord": "C", "from": "0:06"}]})";

TEST_F(Agreement, EachCommandSaysHowMuchAQuickCheckFinds)
{
    std::string const cues = lesson(kMistakes, "", "my lesson.json");
    auto const found = nlohmann::json::parse(tabard({"check", "--quick", "--json", cues}).out);
    int errors = 0, warnings = 0;
    for (auto const& one : found["findings"]) {
        errors += one["severity"] == "error" ? 1 + one.value("more", 0) : 0;
        warnings += one["severity"] == "warning" ? 1 + one.value("more", 0) : 0;
    }
    ASSERT_GT(errors, 1);
    ASSERT_GT(warnings, 0);
    std::string const line = fmt::format("{0}: {1} errors and {2} warning{3} (tabard check --quick '{0}')\n", cues,
                                         errors, warnings, warnings == 1 ? "" : "s");
    for (auto words : makers(cues)) {
        SCOPED_TRACE(words[0] + words[2]);
        ProgramRun const run = tabard(words);
        EXPECT_EQ(run.exit, 0) << run.err;
        EXPECT_THAT(run.err, HasSubstr(line));
        words.insert(words.begin(), "-q");
        EXPECT_THAT(tabard(words).err, IsEmpty());
    }
}

TEST_F(Agreement, NothingIsSaidOfALessonWithoutFindings)
{
    std::string const cues = lesson(kChord);
    ASSERT_THAT(tabard({"check", "--quick", cues}).err, HasSubstr("No problems found."));
    for (auto const& words : makers(cues)) {
        ProgramRun const run = tabard(words);
        EXPECT_EQ(run.exit, 0) << run.err;
        EXPECT_THAT(run.err, Not(HasSubstr("tabard check"))) << words[0];
    }
}

// What `start` writes, untouched.
TEST_F(Agreement, AFilmOfTitlesAloneIsRefused)
{
    std::string const cues = lesson(kUntouched);
    ProgramRun const check = tabard({"check", "--quick", cues});
    EXPECT_EQ(check.exit, 1);
    EXPECT_THAT(check.out, HasSubstr(cues + ":3:2: error: no part of the lesson has a chord"));
    EXPECT_THAT(check.out, HasSubstr("[no-chords]"));
    for (auto const& words : makers(cues)) {
        SCOPED_TRACE(words[0] + " " + words[2]);
        ProgramRun const run = tabard(words);
        bool const looks = words[0] == "still" || words[0] == "publish" || words[2] == "--plan";
        EXPECT_EQ(run.exit, looks ? 0 : 3) << run.err;
        EXPECT_THAT(run.err, HasSubstr(looks ? "1 error (tabard check --quick " : "[no-chords]"));
        EXPECT_THAT(run.err, testing::AnyOf(looks ? HasSubstr("") : HasSubstr("tabard listen " + cues)));
    }
    EXPECT_FALSE(fs::exists(file("film.mp4")));
    EXPECT_FALSE(fs::exists(file("sheet.pdf")));
}

TEST_F(Agreement, AFilmOfTitlesAloneIsMadeWhereItsAuthorMeansIt)
{
    std::string const cues =
        lesson(kUntouched, R"("accept": [{"code": "no-chords", "reason": "a talk about posture"}],)");
    EXPECT_EQ(tabard({"check", "--quick", cues}).exit, 0);
    for (auto const& words : makers(cues))
        EXPECT_EQ(tabard(words).exit, 0) << words[0];
}

TEST_F(Agreement, WhatStartWritesIsRefusedUntilItHasChords)
{
    ASSERT_EQ(tabard({"start", "--plain", file("in.mp4"), "-o", file("started.json")}).exit, 0);
    EXPECT_THAT(tabard({"check", "--quick", file("started.json")}).out, HasSubstr("[no-chords]"));
    EXPECT_EQ(tabard({"render", file("started.json"), "-o", file("film.mp4")}).exit, 3);
    write_text(file("empty.json"), R"({"tabard": 1, "title": "t", "footage": "in.mp4", "sections": []})");
    ProgramRun const empty = tabard({"check", "--quick", file("empty.json")});
    EXPECT_EQ(empty.exit, 1);
    EXPECT_THAT(empty.out, HasSubstr("error: the lesson has no part; add its parts"));
    EXPECT_EQ(tabard({"render", file("empty.json"), "-o", file("film.mp4")}).exit, 3);
}

// Times come last: the names of chords can be put right before.
TEST_F(Agreement, ChordsOfPartsWithoutATimeAreLookedAt)
{
    std::string const cues =
        lesson(R"({"name": "Verse", "strum": "odd", "bars": "C | Gibb | C"})", R"("strums": {"odd": "D D U D U"},)");
    std::string const found = tabard({"check", "--quick", cues}).out;
    for (char const* code : {"[no-time]", "[unknown-chord]", "[strum-meter]"})
        EXPECT_THAT(found, HasSubstr(code));
    EXPECT_THAT(found, Not(HasSubstr("at 27:"))) << "a part without a time has none";
    EXPECT_THAT(found, HasSubstr(fmt::format("find it in the sound (tabard listen {} -o {})", cues,
                                             file("lesson.timed.json"))));
    std::string const heard = tabard({"listen", cues, "--dry-run"}).err;
    EXPECT_THAT(heard, HasSubstr("[unknown-chord]"));
    EXPECT_THAT(heard, Not(HasSubstr("[no-time]")));
}

TEST_F(Agreement, AFilmInPlaceOfItsCueFileIsSaidToBeOne)
{
    fs::copy_file(file("in.mp4"), file("my film.MP4"));
    for (std::vector<std::string> const& words :
         {std::vector<std::string>{"render", file("my film.MP4"), "-o", file("out.mp4")},
          {"check", file("my film.MP4")},
          {"listen", file("my film.MP4"), "--dry-run"},
          {"sheet", file("my film.MP4"), "-o", file("out.pdf")}}) {
        ProgramRun const run = tabard(words);
        EXPECT_EQ(run.exit, 3) << words[0];
        EXPECT_THAT(run.err,
                    HasSubstr(fmt::format("{0} is a film, and a cue file belongs here: give the cue file of this "
                                          "film, or begin one with: tabard start '{0}' -o '{1}'",
                                          file("my film.MP4"), file("my film.json"))));
    }
}

// README's table: 2 is a wrong command line, 3 an input that cannot be read.
TEST_F(Agreement, AWrongValueIsAWrongCommandLineAndAMissingFileIsNot)
{
    std::string const cues = lesson(kChord);
    for (std::vector<std::string> const& words :
         {std::vector<std::string>{"still", cues, "--at", "soon", "-o", file("a.png")},
          {"still", cues, "--at", "9:00", "-o", file("a.png")},
          {"still", cues, "--at", "0:01", "-o", file("a.gif")},
          {"still", cues, "--at", "0:01", "--theme", "plaid", "-o", file("a.png")},
          {"render", cues, "-o", file("a.avi")},
          {"render", cues, "--codec", "theora", "-o", file("a.mp4")},
          {"render", cues, "--crf", "400", "-o", file("a.mp4")},
          {"render", cues, "--share", "5/2"},
          {"render", cues, "--from", "9:00", "-o", file("a.mp4")},
          {"render", cues, "--switchable", "-o", file("a.mp4")},
          {"render", cues, "--overlay-only", "--overlay-codec", "gif", "-o", file("a.mov")},
          {"sheet", cues, "-o", file("a.txt")},
          {"sheet", cues, "-o", file("without")},
          {"publish", cues, "--cover-at", "soon", "-o", file("beside")},
          {"transpose", cues, "--key", "H", "-o", file("a.json")},
          {"transpose", cues, "--capo", "2", "-o", file("a.mp4")},
          {"start", file("in.mp4"), "-o", file("a.pdf")},
          {"listen", cues, "-o", file("a.mp4")},
          {"listen", cues, "--dry-run", "-o", file("a.json")},
          {"listen", cues, "--check", "-o", file("a.json")},
          {"retime", cues, "--by", file("cut.csv"), "-o", file("a.mov")},
          {"check", cues, "--report"},
          {"check", cues, "--report", file("a.json")},
          {"chord", "C", "--tuning", "nonsense"}}) {
        ProgramRun const run = tabard(words);
        EXPECT_EQ(run.exit, 2) << words[0] << " " << words.back() << ": " << run.err;
        EXPECT_THAT(run.err, HasSubstr("tabard " + words[0] + " --help"));
    }
    for (std::vector<std::string> const& words :
         {std::vector<std::string>{"still", file("none.json"), "--at", "0:01", "-o", file("a.png")},
          {"start", file("none.mp4"), "-o", file("a.json")},
          {"retime", cues, "--by", file("none.edl")},
          {"publish", cues, "--speech", file("none.vtt"), "-o", file("beside")}})
        EXPECT_EQ(tabard(words).exit, 3) << words[0];
    EXPECT_THAT(tabard({"listen", cues, "-o", file("a.mp4")}).err, HasSubstr("a cue file is a .json file"));
    EXPECT_THAT(
        tabard({"check", cues, "--report"}).err,
        HasSubstr("--report needs a value behind it; for example: tabard check lesson.json --report report.html"));
    EXPECT_THAT(tabard({"listen", cues, "--dry-run", "-o", file("a.json")}).err,
                HasSubstr("--dry-run writes nothing: leave it out, or leave out -o"));
}

TEST_F(Agreement, ListenSaysThatThereIsNothingToListenFor)
{
    std::string const cues = lesson(kUntouched);
    ProgramRun const run = tabard({"listen", cues, "-o", file("timed.json")});
    EXPECT_EQ(run.exit, 3);
    EXPECT_THAT(run.err, HasSubstr("no part of " + cues + " has \"bars\""));
    EXPECT_FALSE(fs::exists(file("timed.json")));
}

// Nobody plays in this film: that is a warning, and no error.
TEST_F(Agreement, ListenCheckOnlyWarns)
{
    ProgramRun const run =
        tabard({"listen", lesson(R"({"name": "Verse", "from": "0:00", "tempo": 240, "bars": "C | G"})"), "--check"});
    EXPECT_THAT(run.out, HasSubstr("warning: "));
    EXPECT_EQ(run.exit, 0);
}

TEST_F(Agreement, HintsQuoteNamesForTheShell)
{
    write_text(file("my lesson.json"),
               R"({"tabard": 1, "title": "t", "footage": "in.mp4", "sections": [{"name": "A"}]})");
    EXPECT_THAT(tabard({"render", file("my lesson.json"), "-o", file("a.mp4")}).err,
                HasSubstr("fix it first (tabard check '" + file("my lesson.json") + "')"));
}

// RFC 8259, section 8.1: a reader may ignore a byte order mark; whoever edits the file sees none.
TEST_F(Agreement, AByteOrderMarkDoesNoHarm)
{
    std::string const cues = lesson(kChord, R"( "capo": 0, "key": "C",)");
    write_text(cues, "\xEF\xBB\xBF" + read_text(cues));
    EXPECT_EQ(tabard({"check", "--quick", cues}).exit, 0);
    ASSERT_EQ(tabard({"transpose", cues, "--capo", "2", "-o", file("capo.json")}).exit, 0);
    EXPECT_EQ(tabard({"check", "--quick", file("capo.json")}).exit, 0);
    ASSERT_EQ(tabard({"transpose", cues, "--capo", "2", "--in-place"}).exit, 0);
    EXPECT_EQ(tabard({"check", "--quick", cues}).exit, 0);
    auto const mark = read_text(cues).rfind("\xEF\xBB\xBF");
    EXPECT_TRUE(mark == 0 || mark == std::string::npos) << "one at the very beginning, or none";
}

// German B is what others call B flat: x13331; H is their B: x24442 (the shapes of every chord book). A tool that read
// one of these names in English anywhere would show the other shape or none.
TEST_F(Agreement, EveryCommandReadsNamesInTheLessonsLanguage)
{
    std::string const cues = lesson(
        R"({"name": "Talk", "from": "0:00", "show": [{"chord": "B", "from": "0:00"}, {"chord": "H", "from": "0:01"}]})",
        R"("names": "german", "key": "B",)");
    EXPECT_THAT(tabard({"check", "--quick", cues}).err, Not(HasSubstr("unknown-chord")));
    std::string const shapes = tabard({"chord", "--from", cues}).out;
    EXPECT_THAT(shapes, HasSubstr("B: B D F\n"));
    EXPECT_THAT(shapes, HasSubstr("x13331"));
    EXPECT_THAT(shapes, HasSubstr("H: H Dis Fis\n"));
    EXPECT_THAT(shapes, HasSubstr("x24442"));
    ASSERT_EQ(tabard({"publish", cues, "-f", "-o", file("beside")}).exit, 0);
    std::string const captions = read_text(file("beside/captions.vtt"));
    EXPECT_THAT(captions, HasSubstr("Chord B\n"));
    EXPECT_THAT(captions, HasSubstr("Chord H"));
    auto const json = nlohmann::json::parse(read_text(file("beside/summary.json")));
    EXPECT_EQ(json["names"], "german");
    EXPECT_EQ(json["key"], "B");
    EXPECT_EQ(json["chords"][0]["shapes"][0]["frets"], "x13331");
    EXPECT_EQ(json["chords"][1]["shapes"][0]["frets"], "x24442");
    ASSERT_EQ(tabard({"transpose", cues, "--key", "C", "-o", file("up.json")}).exit, 0);
    EXPECT_THAT(read_text(file("up.json")), HasSubstr("\"chord\": \"C\""));
    EXPECT_THAT(read_text(file("up.json")), HasSubstr("\"chord\": \"Cis\"")) << "a half-step higher";
    EXPECT_EQ(tabard({"sheet", cues, "-f", "-o", file("sheet.svg")}).exit, 0);
}

} // namespace
} // namespace tabard::tests
