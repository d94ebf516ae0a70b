// What a user of render, still and cache sees, on clips of a second or two.
#include "tests/support/footage.h"
#include "tests/support/paths.h"
#include "tests/support/run_program.h"

#include <cstdlib>
#include <filesystem>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include <fmt/format.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

namespace tabard::tests {
namespace {

namespace fs = std::filesystem;
using testing::AllOf;
using testing::HasSubstr;
using testing::IsEmpty;
using testing::SizeIs;

/// A folder with a lesson and its footage, and a cache of its own.
class FilmCommands : public testing::Test {
protected:
    FilmCommands()
    {
        setenv("XDG_CACHE_HOME", (m_folder / "cache").c_str(), 1);
        make_footage(m_folder / "in.mp4", "testsrc2=s=320x180:r=25:d=2",
                     {"-f", "lavfi", "-i", "sine=d=2", "-pix_fmt", "yuv420p", "-preset", "ultrafast", "-g", "10"});
        lesson("in.mp4");
    }
    ~FilmCommands() override { unsetenv("XDG_CACHE_HOME"); }

    fs::path file(std::string const& name) const { return m_folder / name; }

    void lesson(std::string const& footage)
    {
        write_text(file("lesson.json"), fmt::format(R"({{"tabard": 1, "title": "Lantern on the Quay", "footage": "{}",
 "instrument": "guitar", "key": "C",
 "sections": [{{"name": "", "from": "0:00", "to": "0:02", "show": [{{"chord": "C", "from": "0:00.9", "to": "0:01.1"}}]}}]}})",
                                                    footage));
    }

    ProgramRun tabard(std::string const& command, std::vector<std::string> const& words) const
    {
        std::vector<std::string> all{TABARD_PROGRAM, command};
        if (command != "cache")
            all.push_back(file("lesson.json"));
        all.insert(all.end(), words.begin(), words.end());
        return run_program(all);
    }

    std::size_t pictures_of(std::string const& name) const
    {
        return ffprobe_rows(file(name), "packet=pts_time").size();
    }

    TemporaryFolder m_folder;
};

TEST_F(FilmCommands, RenderEncodesWhatIsTouchedAndTakesItFromTheCacheTheNextTime)
{
    ProgramRun const first = tabard("render", {"-o", file("a.mp4")});
    ASSERT_EQ(first.exit, 0) << first.err;
    EXPECT_THAT(first.out, IsEmpty());
    EXPECT_THAT(first.err, HasSubstr("of 5 groups encoded, 0 from the cache"));
    EXPECT_EQ(pictures_of("a.mp4"), 50u);

    auto const cache = nlohmann::json::parse(tabard("cache", {"--json"}).out);
    EXPECT_GT(cache["entries"], 0);
    EXPECT_GT(cache["bytes"], 0);
    EXPECT_EQ(cache["limit"], 4'000'000'000); // as the handbook says
    EXPECT_THAT(cache["folder"].get<std::string>(), HasSubstr(file("cache").string()));

    EXPECT_THAT(tabard("render", {"-o", file("b.mp4")}).err, HasSubstr("0 of 5 groups encoded"));
    EXPECT_TRUE(read_text(file("a.mp4")) == read_text(file("b.mp4")));
    EXPECT_THAT(tabard("render", {"-o", file("c.mp4"), "--no-cache"}).err, HasSubstr("0 from the cache"));

    auto const cleared = nlohmann::json::parse(tabard("cache", {"--clear", "--json"}).out);
    EXPECT_EQ(cleared["removed"], cache["entries"]);
    EXPECT_EQ(nlohmann::json::parse(tabard("cache", {"--json"}).out)["entries"], 0);
}

TEST_F(FilmCommands, CacheEscapesTheFoldersNameInJson)
{
    for (std::string const name : {"say \"hello\"", "back\\slash", "two\nlines"}) {
        setenv("XDG_CACHE_HOME", file(name).c_str(), 1);
        ProgramRun const run = tabard("cache", {"--json"});
        ASSERT_EQ(run.exit, 0) << run.err;
        EXPECT_THAT(nlohmann::json::parse(run.out)["folder"].get<std::string>(), HasSubstr(file(name).string()));
    }
    setenv("XDG_CACHE_HOME", file("Latin \xe9").c_str(), 1); // no UTF-8
    EXPECT_TRUE(nlohmann::json::accept(tabard("cache", {"--json"}).out));
}

TEST_F(FilmCommands, RenderPrintsThePlanAndRendersNothing)
{
    auto const files = std::distance(fs::directory_iterator(file("")), fs::directory_iterator());
    ProgramRun const words = tabard("render", {"--plan"});
    ASSERT_EQ(words.exit, 0) << words.err;
    EXPECT_THAT(words.out, HasSubstr("of 5 groups of pictures"));

    ProgramRun const run = tabard("render", {"--plan", "--json"});
    auto const plan = nlohmann::json::parse(run.out);
    EXPECT_EQ(plan["copies"], true);
    EXPECT_EQ(plan["reason"], "");
    EXPECT_EQ(plan["seconds"], 2.0);
    EXPECT_LT(plan["seconds_to_encode"], 2.0);
    ASSERT_THAT(plan["groups"], SizeIs(5)); // ten pictures in each, at 25 a second
    EXPECT_EQ(plan["groups"][2], (nlohmann::json{{"from", 0.8}, {"pictures", 10}, {"touched", true}}));
    EXPECT_EQ(plan["groups"][4], (nlohmann::json{{"from", 1.6}, {"pictures", 10}, {"touched", false}}));
    EXPECT_EQ(std::distance(fs::directory_iterator(file("")), fs::directory_iterator()), files);

    auto const whole = nlohmann::json::parse(tabard("render", {"--plan", "--json", "--whole"}).out);
    EXPECT_EQ(whole["copies"], false);
    EXPECT_EQ(whole["seconds_to_encode"], 2.0);
    EXPECT_EQ(tabard("render", {"--json", "-o", file("a.mp4")}).exit, 2); // of a plan only
}

TEST_F(FilmCommands, RenderFailsOrSaysWhyWhereNothingCanBeCopied)
{
    make_footage(file("ten.mp4"), "testsrc2=s=320x180:r=25:d=1.2", {"-pix_fmt", "yuv420p10le", "-preset", "ultrafast"});
    lesson("ten.mp4");
    ProgramRun const safe = tabard("render", {"--copy-only-safe", "--codec", "h264", "-o", file("a.mp4")});
    EXPECT_EQ(safe.exit, 3);
    EXPECT_THAT(safe.err, HasSubstr("8-bit 4:2:0"));
    EXPECT_FALSE(fs::exists(file("a.mp4")));
    ProgramRun const any = tabard("render", {"--codec", "h264", "-o", file("a.mp4")});
    EXPECT_EQ(any.exit, 0);
    EXPECT_THAT(any.err, AllOf(HasSubstr("all of the film was encoded, because"), HasSubstr("8-bit 4:2:0")));
}

TEST_F(FilmCommands, RenderMakesAPartADraftAndTheOverlaysAlone)
{
    ProgramRun const part = tabard("render", {"--whole", "--from", "0:00.4", "--to", "0:01.2", "-o", file("part.mp4")});
    ASSERT_EQ(part.exit, 0) << part.err;
    EXPECT_EQ(pictures_of("part.mp4"), 20u); // 0.8 s at 25 a second

    make_footage(file("wide.mp4"), "testsrc2=s=1280x720:r=25:d=1.2", {"-pix_fmt", "yuv420p", "-preset", "ultrafast"});
    lesson("wide.mp4");
    ProgramRun const draft = tabard("render", {"--draft", "-o", file("draft.mp4")});
    ASSERT_EQ(draft.exit, 0) << draft.err;
    EXPECT_EQ(ffprobe_rows(file("draft.mp4"), "stream=width,height"), std::vector<std::string>{"640,360"});

    lesson("in.mp4");
    ProgramRun const track = tabard("render", {"--overlay-only", "-o", file("track.mov")});
    ASSERT_EQ(track.exit, 0) << track.err;
    EXPECT_EQ(ffprobe_rows(file("track.mov"), "stream=codec_name,width,height,pix_fmt"),
              std::vector<std::string>{"prores,320,180,yuva444p12le"});
    EXPECT_EQ(tabard("render", {"--overlay-codec", "rle", "-o", file("b.mov")}).exit, 2); // needs --overlay-only
}

TEST_F(FilmCommands, RenderPutsSwitchableOverlaysBesideTheFilmWithTheDefaultThatIsAskedFor)
{
    write_text(file("lesson.json"), R"({"tabard": 1, "title": "Lantern on the Quay", "footage": "in.mp4",
 "instrument": "guitar", "key": "C", "shapes": {"F": {"full": "133211", "easy": "xx3211"}},
 "sections": [{"name": "", "from": "0:00", "to": "0:02", "show": [{"chord": "F", "from": "0:00.5", "to": "0:01.5"}]}]})");
    struct Case {
        std::vector<std::string> words;
        std::vector<std::string> tracks; ///< whether it is the default, and its title
    };
    for (auto const& [words, tracks] :
         {Case{{}, {"1,Full shapes", "0,Easy shapes", "0,Left-handed"}},
          Case{{"--level", "easy"}, {"0,Full shapes", "1,Easy shapes", "0,Left-handed"}},
          Case{{"--left-handed", "--no-cache"}, {"0,Full shapes", "0,Easy shapes", "1,Left-handed"}}}) {
        std::vector<std::string> all{"--switchable", "-f", "-o", file("a.mkv")};
        all.insert(all.end(), words.begin(), words.end());
        ProgramRun const run = tabard("render", all);
        ASSERT_EQ(run.exit, 0) << run.err;
        EXPECT_THAT(run.err,
                    AllOf(HasSubstr("50 pictures copied"), HasSubstr("Full shapes"), HasSubstr("the default")));
        EXPECT_EQ(ffprobe_rows(file("a.mkv"), "stream_disposition=default:stream_tags=title", "s"), tracks);
    }
    EXPECT_TRUE(packet_hashes(file("in.mp4"), "v:0") == packet_hashes(file("a.mkv"), "v:0"));
    EXPECT_FALSE(fs::exists(file("cache/tabard")));
    EXPECT_EQ(tabard("render", {"--switchable", "--plan"}).out, "copy all of the film, 2.0 s; encode nothing\n");
    EXPECT_EQ(nlohmann::json::parse(tabard("render", {"--switchable", "--plan", "--json"}).out)["seconds_to_encode"],
              0.0);

    ProgramRun const mp4 = tabard("render", {"--switchable", "-o", file("a.mp4")});
    EXPECT_EQ(mp4.exit, 3);
    EXPECT_THAT(mp4.err, HasSubstr("MP4 cannot carry overlays that a viewer switches on and off; write a .mkv file"));
    for (std::vector<std::string> const& with : {std::vector<std::string>{"--crf", "20"},
                                                 {"--preset", "slow"},
                                                 {"--from", "0:01"},
                                                 {"--to", "0:01"},
                                                 {"--overlay-only"},
                                                 {"--draft"},
                                                 {"--whole"},
                                                 {"--codec", "h264"}}) {
        std::vector<std::string> words{"--switchable", "-o", file("b.mkv")};
        words.insert(words.end(), with.begin(), with.end());
        ProgramRun const run = tabard("render", words);
        EXPECT_EQ(run.exit, 2) << with[0];
        EXPECT_THAT(run.err, HasSubstr("--switchable"));
    }
    EXPECT_FALSE(fs::exists(file("b.mkv")));
}

TEST_F(FilmCommands, RefuseWhatWouldBeLostAndWhatMakesNoSense)
{
    std::string const before = read_text(file("in.mp4"));
    for (char const* command : {"render", "still"}) {
        std::vector<std::string> words{"-f", "-o", file("in.mp4")};
        if (command == std::string_view("still"))
            words.insert(words.end(), {"--at", "0:01"});
        ProgramRun const run = tabard(command, words);
        EXPECT_EQ(run.exit, 3) << command << run.err;
        EXPECT_THAT(run.err, HasSubstr("in.mp4"));
        EXPECT_TRUE(read_text(file("in.mp4")) == before);
    }
    write_text(file("there.mp4"), "mine");
    ProgramRun const there = tabard("render", {"-o", file("there.mp4")});
    EXPECT_EQ(there.exit, 3);
    EXPECT_THAT(there.err, HasSubstr("--force"));
    EXPECT_EQ(read_text(file("there.mp4")), "mine");

    EXPECT_EQ(tabard("render", {}).exit, 2);
    EXPECT_EQ(tabard("render", {"--whole", "--copy-only-safe", "-o", file("a.mp4")}).exit, 2);
    EXPECT_EQ(tabard("render", {"--crf", "many", "-o", file("a.mp4")}).exit, 2);
    EXPECT_EQ(tabard("still", {"-o", file("a.png")}).exit, 2);
    EXPECT_EQ(tabard("still", {"--at", "soon", "-o", file("a.png")}).exit, 3);
    EXPECT_EQ(tabard("render", {"--from", "0:01", "--to", "0:01", "-o", file("a.mp4")}).exit, 3);
    EXPECT_NE(tabard("render", {"--from", "-1", "-o", file("a.mp4")}).exit, 0);
    ProgramRun const early = tabard("render", {"--from=-1", "-o", file("a.mp4")});
    EXPECT_EQ(early.exit, 3);
    EXPECT_THAT(early.err, HasSubstr("--from: '-1' is before the film begins"));
    EXPECT_EQ(tabard("render", {"--codec", "vp9", "-o", file("a.avi")}).exit, 3);
    EXPECT_EQ(tabard("render", {"-o", file("none/a.mp4")}).exit, 4);
    EXPECT_EQ(tabard("still", {"--at", "0:01", "-o", file("none/a.png")}).exit, 4);
}

TEST_F(FilmCommands, StillWritesAPicture)
{
    ProgramRun const run = tabard("still", {"--at", "0:01", "-o", file("a.png")});
    ASSERT_EQ(run.exit, 0) << run.err;
    EXPECT_THAT(run.err, HasSubstr("320 x 180"));
    EXPECT_THAT(read_text(file("a.png")), testing::StartsWith("\x89PNG"));
    EXPECT_EQ(tabard("still", {"--at", "0:01", "-o", file("a.png")}).exit, 3); // it is there
}

TEST_F(FilmCommands, SayWhatIsWrongWithFootageThatIsNone)
{
    make_footage(file("sound.mp4"), "sine=d=0.2");
    write_text(file("short.mp4"), read_text(file("in.mp4")).substr(0, 3000));
    write_text(file("empty.mp4"), "");
    fs::create_directory(file("folder.mp4"));
    for (auto const& [name, words] : {std::pair{"sound.mp4", "only sound"},
                                      {"short.mp4", "its beginning is damaged"},
                                      {"empty.mp4", "no film"},
                                      {"folder.mp4", "this is a folder"},
                                      {"none.mp4", "none.mp4"}}) {
        SCOPED_TRACE(name);
        lesson(name);
        ProgramRun const render = tabard("render", {"-o", file("a.mp4")});
        EXPECT_EQ(render.exit, 3);
        EXPECT_THAT(render.err, AllOf(HasSubstr(name), HasSubstr(words)));
        ProgramRun const still = tabard("still", {"--at", "0:01", "-o", file("a.png")});
        EXPECT_EQ(still.exit, 3);
        EXPECT_THAT(still.err, AllOf(HasSubstr(name), HasSubstr(words)));
        EXPECT_FALSE(fs::exists(file("a.mp4")));
        EXPECT_FALSE(fs::exists(file("a.png")));
    }
}

} // namespace
} // namespace tabard::tests
