// What a user of render, still and cache sees, on clips of a second or two.
#include "tests/support/footage.h"
#include "tests/support/paths.h"
#include "tests/support/run_program.h"

#include <cstdlib>
#include <filesystem>
#include <iterator>
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

    void lesson(std::string const& footage, std::string const& from = "0:00.9", std::string const& to = "0:01.1")
    {
        write_text(file("lesson.json"), fmt::format(R"({{"tabard": 1, "title": "Lantern on the Quay", "footage": "{}",
 "instrument": "guitar", "key": "C",
 "sections": [{{"name": "", "from": "0:00", "to": "0:02", "show": [{{"chord": "C", "from": "{}", "to": "{}"}}]}}]}})",
                                                    footage, from, to));
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
    EXPECT_TRUE(std::filesystem::is_empty(file("cache/tabard"))); // speeds, too
}

TEST_F(FilmCommands, PlanSaysHowLongARenderWillTakeOnceOneWasMade)
{
    EXPECT_THAT(tabard("render", {"--plan"}).out, Not(HasSubstr("on this machine")));
    ASSERT_EQ(tabard("render", {"-o", file("a.mp4")}).exit, 0);
    EXPECT_THAT(tabard("render", {"--plan"}).out, HasSubstr(" s on this machine, as the last time"));
    auto const plan = nlohmann::json::parse(tabard("render", {"--plan", "--json"}).out);
    EXPECT_GE(plan["expected_render_seconds"], 0);
    EXPECT_LT(plan["expected_render_seconds"], 60); // two seconds of a small film, all of it in the cache
    EXPECT_THAT(tabard("render", {"--plan", "--preset", "slow"}).out, Not(HasSubstr("on this machine")));
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
    EXPECT_EQ(plan["groups"][2]["from"], 0.8);
    EXPECT_EQ(plan["groups"][2]["pictures"], 10);
    EXPECT_EQ(plan["groups"][2]["touched"], true);
    EXPECT_EQ(plan["groups"][2]["cached"], false);
    EXPECT_EQ(plan["groups"][4], (nlohmann::json{{"from", 1.6}, {"pictures", 10}, {"touched", false}}));
    EXPECT_LE(std::distance(fs::directory_iterator(file("")), fs::directory_iterator()), files + 1); // the cache

    auto const whole = nlohmann::json::parse(tabard("render", {"--plan", "--json", "--whole"}).out);
    EXPECT_EQ(whole["copies"], false);
    EXPECT_EQ(whole["seconds_to_encode"], 2.0);
    EXPECT_EQ(tabard("render", {"--json", "-o", file("a.mp4")}).exit, 2); // of a plan only
}

TEST_F(FilmCommands, ThePlanCountsWhatIsInTheCacheAsARenderWould)
{
    lesson("in.mp4", "0:00.5", "0:01.5"); // the groups from 0.4, 0.8 and 1.2 s, at least
    std::vector<std::string> const plan{"--plan", "--json"};
    auto const touched = [&] {
        std::vector<nlohmann::json> groups;
        auto const json = nlohmann::json::parse(tabard("render", plan).out);
        for (auto const& group : json["groups"])
            if (group["touched"])
                groups.push_back(group);
        return groups;
    };
    auto const before = touched();
    ASSERT_GE(before.size(), 3u);
    std::string const all = fmt::format("encode {} of 5 groups of pictures:", before.size());
    EXPECT_THAT(tabard("render", {"--plan"}).out, HasSubstr(all));

    ASSERT_EQ(tabard("render", {"-o", file("a.mp4")}).exit, 0);
    std::string const none = fmt::format("encode 0 of 5 groups of pictures ({} more are in the cache): 0.0 s of 2.0 s, "
                                         "0 %; copy the rest\n",
                                         before.size());
    EXPECT_THAT(tabard("render", {"--plan"}).out, HasSubstr(none));
    EXPECT_THAT(tabard("render", {"--plan", "--no-cache"}).out, HasSubstr(all));
    auto const after = touched();
    ASSERT_EQ(after.size(), before.size());
    for (std::size_t i = 0; i < after.size(); ++i) {
        EXPECT_FALSE(before[i]["cached"]);
        EXPECT_TRUE(after[i]["cached"]);
        EXPECT_EQ(after[i]["key"], before[i]["key"]);
        EXPECT_TRUE(fs::exists(file("cache") / "tabard" / (after[i]["key"].get<std::string>() + ".group")));
    }

    fs::remove(file("cache") / "tabard" / (after[1]["key"].get<std::string>() + ".group"));
    EXPECT_THAT(tabard("render", {"--plan"}).out, HasSubstr("encode 1 of 5 groups"));
    EXPECT_THAT(tabard("render", {"-o", file("b.mp4")}).err, HasSubstr(" 1 of 5 groups encoded"));
    EXPECT_NE(nlohmann::json::parse(tabard("render", {"--plan", "--json", "--crf", "30"}).out)["keys"]["encoder"],
              nlohmann::json::parse(tabard("render", plan).out)["keys"]["encoder"]);
}

TEST_F(FilmCommands, SharesFillTheCacheForAFilmWithTheBytesOfALocalRender)
{
    lesson("in.mp4", "0:00.1", "0:01.9"); // all five groups
    ASSERT_EQ(tabard("render", {"-o", file("local.mp4"), "--no-cache"}).exit, 0);
    ProgramRun const plan = tabard("render", {"--plan", "--json"});
    write_text(file("plan.json"), plan.out);
    std::string const plan_file = file("plan.json");
    for (auto const& [share, words] : {std::pair{"1/3", "share 1 of 3: 2 of 5 groups, 2 encoded"},
                                       {"3/3", "share 3 of 3: 1 of 5 groups, 1 encoded"},
                                       {"2/3", "share 2 of 3: 2 of 5 groups, 2 encoded"}}) {
        ProgramRun const run = tabard("render", {"--share", share, "--plan-file", plan_file});
        EXPECT_EQ(run.exit, 0) << run.err;
        EXPECT_THAT(run.out, IsEmpty());
        EXPECT_THAT(run.err, HasSubstr(words));
    }
    EXPECT_THAT(tabard("render", {"--share", "1/3"}).err, HasSubstr("0 encoded (0.0 MB), 2 were in the cache"));
    EXPECT_THAT(tabard("render", {"-o", file("shared.mp4")}).err, HasSubstr("0 of 5 groups encoded, 5 from the cache"));
    EXPECT_TRUE(read_text(file("local.mp4")) == read_text(file("shared.mp4")));
}

TEST_F(FilmCommands, AShareRefusesWhatItCannotDo)
{
    for (std::string const share : {"0/3", "4/3", "-1/3", "1/0", "1", "/", "a/b", "1/3x", "", "1/99999999999"})
        EXPECT_NE(tabard("render", {"--share=" + share}).exit, 0) << share;
    for (std::string const word : {"--plan", "--no-cache", "--whole", "--draft", "--overlay-only", "--switchable"})
        EXPECT_EQ(tabard("render", {"--share", "1/2", word}).exit, 2) << word;
    EXPECT_EQ(tabard("render", {"--share", "1/2", "-o", file("a.mp4")}).exit, 2);
    ProgramRun const whole = tabard("render", {"--share", "1/2", "--codec", "hevc"});
    EXPECT_EQ(whole.exit, 3);
    EXPECT_THAT(whole.err, HasSubstr("cannot be rendered in shares: all of the film is encoded, because"));
}

TEST_F(FilmCommands, AShareRefusesThePlanOfAMachineThatWouldMakeOtherGroups)
{
    auto const refusal = [&](std::vector<std::string> of_plan, std::vector<std::string> of_share) {
        of_plan.insert(of_plan.end(), {"--plan", "--json"});
        write_text(file("plan.json"), tabard("render", of_plan).out);
        of_share.insert(of_share.end(), {"--share", "1/2", "--plan-file", file("plan.json")});
        ProgramRun const run = tabard("render", of_share);
        EXPECT_EQ(run.exit, 3) << run.err;
        return run.err;
    };
    EXPECT_THAT(refusal({}, {"--crf", "40"}), AllOf(HasSubstr("encoder"), testing::Not(HasSubstr("footage"))));
    EXPECT_THAT(refusal({"--left-handed"}, {}), AllOf(HasSubstr("look"), testing::Not(HasSubstr("encoder"))));
    std::string const plan = tabard("render", {"--plan", "--json"}).out;
    lesson("in.mp4", "0:00.5", "0:01.1");
    write_text(file("plan.json"), plan);
    ProgramRun const edited = tabard("render", {"--share", "1/2", "--plan-file", file("plan.json")});
    EXPECT_EQ(edited.exit, 3);
    EXPECT_THAT(edited.err, HasSubstr("the cue file"));
    for (char const* const no_plan : {"", "[]", "{}", R"({"keys": 1, "groups": 2})", R"({"keys": {"common": "a"}})"}) {
        write_text(file("plan.json"), no_plan);
        EXPECT_EQ(tabard("render", {"--share", "1/2", "--plan-file", file("plan.json")}).exit, 3) << no_plan;
    }
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
        EXPECT_THAT(run.err, AllOf(HasSubstr("50 frames copied"), HasSubstr("Full shapes"), HasSubstr("the default")));
        EXPECT_EQ(ffprobe_rows(file("a.mkv"), "stream_disposition=default:stream_tags=title", "s"), tracks);
    }
    EXPECT_TRUE(packet_hashes(file("in.mp4"), "v:0") == packet_hashes(file("a.mkv"), "v:0"));
    std::ptrdiff_t const kept = std::distance(fs::directory_iterator(file("cache/tabard")), {});
    EXPECT_EQ(kept, 2) << "that the sound is whole, and how light the film is; no pictures";
    EXPECT_EQ(tabard("render", {"--switchable", "--plan"}).out, "copy all of the film, 2.0 s; encode nothing\n");
    EXPECT_EQ(nlohmann::json::parse(tabard("render", {"--switchable", "--plan", "--json"}).out)["seconds_to_encode"],
              0.0);

    ProgramRun const mp4 = tabard("render", {"--switchable", "-o", file("a.mp4")});
    EXPECT_EQ(mp4.exit, 2);
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
        EXPECT_EQ(run.exit, command == std::string_view("still") ? 2 : 3) << command << run.err; // no .png
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
    EXPECT_EQ(tabard("still", {"--at", "soon", "-o", file("a.png")}).exit, 2);
    EXPECT_EQ(tabard("render", {"--from", "0:01", "--to", "0:01", "-o", file("a.mp4")}).exit, 2);
    EXPECT_NE(tabard("render", {"--from", "-1", "-o", file("a.mp4")}).exit, 0);
    ProgramRun const early = tabard("render", {"--from=-1", "-o", file("a.mp4")});
    EXPECT_EQ(early.exit, 2);
    EXPECT_THAT(early.err, HasSubstr("--from: '-1' is before the film begins"));
    EXPECT_EQ(tabard("render", {"--codec", "vp9", "-o", file("a.avi")}).exit, 2);
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

// Fifty pictures at 25 a second: the last one is on screen from 1.96 s to 2 s.
TEST_F(FilmCommands, SayWhereTheFilmEndsToWhoAsksForAPictureBesideIt)
{
    EXPECT_EQ(tabard("still", {"--at", "0:01.99", "-o", file("last.png")}).exit, 0);
    for (auto const& [command, option, output] : {std::tuple{"still", "--at", "beside.png"},
                                                  {"render", "--from", "beside.mp4"},
                                                  {"publish", "--cover-at", "beside"}}) {
        for (std::string const at : {"0:02", "1:00", "1:00:00:00"}) {
            ProgramRun const late = tabard(command, {option, at, "-o", file(output)});
            EXPECT_EQ(late.exit, 2);
            EXPECT_THAT(late.err,
                        HasSubstr(fmt::format("{}: at '{}' the film is over: it ends at 0:02.000", option, at)));
        }
        ProgramRun const early = tabard(command, {fmt::format("{}=-0:01", option), "-o", file(output)});
        EXPECT_EQ(early.exit, 2);
        EXPECT_THAT(early.err, HasSubstr(fmt::format("{}: '-0:01' is before the film begins", option)));
    }
}

TEST_F(FilmCommands, SayThatAPartEndsWithTheFilmWhereMoreIsAskedFor)
{
    ProgramRun const late = tabard("render", {"--draft", "--from", "0:01", "--to", "0:02.5", "-o", file("late.mp4")});
    EXPECT_EQ(late.exit, 0) << late.err;
    EXPECT_THAT(late.err, HasSubstr("--to: at '0:02.5' the film is over: it is written to its end, 0:02.000"));
    ProgramRun const whole = tabard("render", {"--draft", "--from", "0:01", "--to", "0:02", "-o", file("whole.mp4")});
    EXPECT_THAT(whole.err, Not(HasSubstr("the film is over")));
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
