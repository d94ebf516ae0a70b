#include "tests/support/footage.h"
#include "tests/support/paths.h"
#include "tests/support/run_program.h"

#include <filesystem>
#include <string>
#include <utility>
#include <vector>

#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

// What `tabard start` writes is a cue file that `tabard check` accepts, whatever the film is called and says of itself.
namespace tabard::tests {
namespace {

namespace fs = std::filesystem;
using testing::AllOf;
using testing::HasSubstr;
using testing::IsEmpty;

constexpr char const* kTwoSeconds = "testsrc2=s=320x240:r=25:d=2";

ProgramRun tabard(std::vector<std::string> words)
{
    words.insert(words.begin(), TABARD_PROGRAM);
    return run_program(words);
}

nlohmann::json json_of(fs::path const& file) { return nlohmann::json::parse(read_text(file)); }

/// What is left to do in a cue file that was started: its chords alone.
void expect_only_chords_are_missing(fs::path const& cues)
{
    ProgramRun const check = tabard({"check", "--quick", "--json", cues.string()});
    EXPECT_EQ(check.exit, 1);
    auto const found = nlohmann::json::parse(check.out);
    for (auto const& finding : found["findings"])
        EXPECT_TRUE(finding["severity"] != "error" || finding["code"] == "no-chords") << finding;
}

/// Starts a cue file for the film; expects that it is written, understood, and lacks nothing but chords.
nlohmann::json started(fs::path const& film)
{
    fs::path const cues = fs::path(film.parent_path()) / "started.json";
    ProgramRun const start = tabard({"start", "--plain", "-f", film.string(), "-o", cues.string()});
    EXPECT_EQ(start.exit, 0) << start.err;
    expect_only_chords_are_missing(cues);
    return json_of(cues);
}

nlohmann::json started_with_title(std::string const& title)
{
    TemporaryFolder const folder;
    make_footage(folder / "take 3.mp4", kTwoSeconds, {"-metadata", "title=" + title});
    return started(folder / "take 3.mp4");
}

TEST(StartCommand, WritesACueFileBesideTheFilmThatLacksChordsAlone)
{
    TemporaryFolder const folder;
    make_footage(folder / "take 3.mp4", kTwoSeconds);
    ProgramRun const start = tabard({"start", folder / "take 3.mp4"});
    EXPECT_EQ(start.exit, 0) << start.err;
    EXPECT_THAT(start.out, IsEmpty());
    EXPECT_THAT(start.err, AllOf(HasSubstr("320 by 240"), HasSubstr("take 3.json")));
    auto const cues = json_of(folder / "take 3.json");
    EXPECT_EQ(cues["title"], "take 3");
    EXPECT_EQ(cues["footage"], "take 3.mp4");
    EXPECT_EQ(cues["made_for"]["rate"], "25");
    EXPECT_EQ(cues["made_for"]["duration"], "0:02");
    expect_only_chords_are_missing(folder / "take 3.json");
}

TEST(StartCommand, LeavesACueFileThatIsThere)
{
    TemporaryFolder const folder;
    make_footage(folder / "take.mp4", kTwoSeconds);
    write_text(folder / "take.json", "an evening's work");
    ProgramRun const start = tabard({"start", "--plain", folder / "take.mp4"});
    EXPECT_EQ(start.exit, 3);
    EXPECT_THAT(start.err, HasSubstr("--force"));
    EXPECT_EQ(read_text(folder / "take.json"), "an evening's work");
    EXPECT_EQ(tabard({"start", "--plain", "-f", folder / "take.mp4"}).exit, 0);
    EXPECT_EQ(json_of(folder / "take.json")["tabard"], 1);
}

TEST(StartCommand, NamesTheFilmFromWhereTheCueFileLies)
{
    TemporaryFolder const folder;
    fs::create_directories(folder / "cue files");
    make_footage(folder / "take.mp4", kTwoSeconds);
    std::string const cues = folder / "cue files" / "lesson.json";
    EXPECT_EQ(tabard({"start", "--plain", folder / "take.mp4", "-o", cues}).exit, 0);
    EXPECT_EQ(json_of(cues)["footage"], "../take.mp4");
    expect_only_chords_are_missing(cues);
}

TEST(StartCommand, TakesTheTitleThatTheFilmHas)
{
    EXPECT_EQ(started_with_title("Lantern on the Quay")["title"], "Lantern on the Quay");
    EXPECT_EQ(started_with_title("")["title"], "take 3");
    EXPECT_EQ(started_with_title("   ")["title"], "take 3");
}

TEST(StartCommand, WritesNoControlCharacterOfATitle)
{
    EXPECT_EQ(started_with_title("a\001b\033[2Jc\177d")["title"], "a b [2Jc d");
    EXPECT_EQ(started_with_title("two\nlines\tand a tab")["title"], "two lines and a tab");
    EXPECT_EQ(started_with_title("next\302\205line")["title"], "next line"); // U+0085, of C1
    EXPECT_EQ(started_with_title("\001\002")["title"], "take 3");
}

// RFC 3629: no byte FF, no half of a character, no overlong form.
TEST(StartCommand, PutsAReplacementWhereATitleIsNotUtf8)
{
    EXPECT_EQ(started_with_title("caf\351")["title"], "caf\357\277\275");
    EXPECT_THAT(started_with_title("\377\376\300\257x")["title"].get<std::string>(), HasSubstr("x"));
    EXPECT_EQ(started_with_title("\303\204rger")["title"], "\303\204rger");
}

// 120,000 bytes are more than any text of a cue file may have; three bytes a character, so that a cut may hit one.
TEST(StartCommand, ShortensATitleThatIsTooLong)
{
    std::string title;
    while (title.size() < 120'000)
        title += "\342\231\257";
    auto const written = started_with_title(title)["title"].get<std::string>();
    EXPECT_LE(written.size(), 2'000U);
    EXPECT_EQ(written.size() % 3, 0U);
    EXPECT_EQ(written, title.substr(0, written.size() - 3) + "\342\200\246"); // ends with an ellipsis
}

TEST(StartCommand, WritesEveryNameThatACueFileCanHold)
{
    TemporaryFolder const folder;
    for (std::string const name :
         {"it's a \"take\".mp4", "back\\slash.mp4", "-o.mp4", "\303\204rger \342\231\257.mp4", "{} %s $(x) `y`.mp4"}) {
        make_footage(folder / name, kTwoSeconds);
        EXPECT_EQ(started(folder / name)["footage"], name);
    }
}

TEST(StartCommand, RefusesANameThatNoCueFileCanHold)
{
    TemporaryFolder const folder;
    make_footage(folder / "take.mp4", kTwoSeconds);
    for (std::string const name : {"caf\351.mp4", "bell\007.mp4", "escape\033[2J.mp4", "next\302\205line.mp4"}) {
        fs::rename(folder / "take.mp4", folder / name);
        ProgramRun const start = tabard({"start", "--plain", folder / name, "-o", folder / "lesson.json"});
        EXPECT_EQ(start.exit, 3) << name;
        EXPECT_THAT(start.err, HasSubstr("rename"));
        EXPECT_FALSE(fs::exists(folder / "lesson.json"));
        fs::rename(folder / name, folder / "take.mp4");
    }
}

TEST(StartCommand, SuitsFilmsOfOddLengthsAndRates)
{
    TemporaryFolder const folder;
    make_footage(folder / "one picture.mp4", "testsrc2=s=320x240:r=25:d=0.04");
    started(folder / "one picture.mp4");
    make_footage(folder / "ntsc.mp4", "testsrc2=s=320x240:r=30000/1001:d=1");
    EXPECT_EQ(started(folder / "ntsc.mp4")["made_for"]["rate"], "30000/1001");
    make_footage(folder / "slow.mp4", "testsrc2=s=320x240:r=1/3:d=12");
    started(folder / "slow.mp4");
    make_footage(folder / "fast.mkv", "testsrc2=s=320x240:r=2000:d=0.05");
    started(folder / "fast.mkv");
    make_footage(folder / "late.mkv", kTwoSeconds, {"-output_ts_offset", "3"}); // its first picture comes at 3 s
    started(folder / "late.mkv");
}

// Nothing can be heard, and `listen` would say so too: the way on is by hand.
TEST(StartCommand, SaysThatAFilmIsSilentAndMakesItsCueFileAllTheSame)
{
    TemporaryFolder const folder;
    make_footage(folder / "mute.mp4", kTwoSeconds);
    make_footage(folder / "silent.mp4", kTwoSeconds, {"-f", "lavfi", "-i", "anullsrc=r=48000:cl=mono", "-shortest"});
    for (auto const& [name, why] :
         {std::pair{"mute", "there is no sound in this file"}, std::pair{"silent", "its sound track is silent"}}) {
        ProgramRun const start = tabard({"start", folder / (std::string(name) + ".mp4")});
        EXPECT_EQ(start.exit, 0) << start.err;
        EXPECT_THAT(start.err, AllOf(HasSubstr(why), HasSubstr("no parts can be found"), HasSubstr("tabard check"),
                                     testing::Not(HasSubstr("tabard listen"))));
        expect_only_chords_are_missing(folder / (std::string(name) + ".json"));
    }
}

TEST(StartCommand, SaysWhatIsNoFilm)
{
    TemporaryFolder const folder;
    write_text(folder / "notes.txt", "no film at all");
    EXPECT_EQ(tabard({"start", folder / "notes.txt"}).exit, 3);
    EXPECT_EQ(tabard({"start", folder / "nothing.mp4"}).exit, 3);
    EXPECT_EQ(tabard({"start"}).exit, 2);
    EXPECT_FALSE(fs::exists(folder / "notes.json"));
    EXPECT_FALSE(fs::exists(folder / "nothing.json"));
}

TEST(StartCommand, BeginsWithPublishedAnnotationsThatCheckAndRenderAccept)
{
    TemporaryFolder const folder;
    make_footage(folder / "film.mp4", "testsrc2=s=320x240:r=25:d=4");
    write_text(folder / "film.lab", "0.0 0.5 N\n0.5 1.4001 A:min7\n1.4001 2 N\n2 3 G:7/3\n3 4.02 C:maj7(b7)\n");
    ProgramRun const start = tabard({"start", folder / "film.mp4", "--chords", folder / "film.lab"});
    EXPECT_EQ(start.exit, 0) << start.err;
    EXPECT_THAT(start.err, HasSubstr("film.lab:5:8: no chord name has the notes of 'C:maj7(b7)'"));
    EXPECT_THAT(start.err, HasSubstr("Next: tabard check "));
    std::string const cues = folder / "film.json";
    EXPECT_EQ(json_of(cues)["sections"][0]["show"], nlohmann::json::parse(R"([
        {"chord": "Am7", "from": "0:00.5"}, {"chord": "N.C.", "from": "0:01.4"}, {"chord": "G7/B", "from": "0:02"},
        {"chord": "C7", "from": "0:03", "to": "0:04"}])"));
    ProgramRun const check = tabard({"check", "--quick", cues});
    EXPECT_EQ(check.exit, 0) << check.out;
    ProgramRun const render = tabard({"render", cues, "-o", folder / "out.mp4"});
    EXPECT_EQ(render.exit, 0) << render.err;
    EXPECT_THAT(render.err, HasSubstr("100 frames"));
}

TEST(StartCommand, RefusesAnnotationsWithEveryPlaceAndWritesNothing)
{
    TemporaryFolder const folder;
    make_footage(folder / "film.mp4", kTwoSeconds);
    std::string lines = "0 x C\n";
    for (int i = 0; i < 12; ++i)
        lines += "3 2 C\n";
    write_text(folder / "film.lab", lines);
    ProgramRun const start = tabard({"start", folder / "film.mp4", "--chords", folder / "film.lab"});
    EXPECT_EQ(start.exit, 3);
    EXPECT_THAT(start.err, HasSubstr("film.lab:1:3: 'x' is no time"));
    EXPECT_THAT(start.err, HasSubstr("film.lab:10:3: the chord ends at 2 and begins at 3"));
    EXPECT_THAT(start.err, HasSubstr("\nand 3 more\n"));
    EXPECT_FALSE(fs::exists(folder / "film.json"));
    ProgramRun const none = tabard({"start", folder / "film.mp4", "--chords", folder / "none.lab"});
    EXPECT_EQ(none.exit, 3);
    EXPECT_THAT(none.err, HasSubstr("none.lab"));
}

} // namespace
} // namespace tabard::tests
