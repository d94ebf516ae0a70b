#include "pipeline/render/group_cache.h"
#include "pipeline/render/group_pins.h"
#include "pipeline/render/render_speed.h"
#include "pipeline/render/scene_digest.h"
#include "tests/support/run_program.h"

#include <algorithm>
#include <csignal>
#include <filesystem>
#include <fstream>
#include <string>
#include <thread>
#include <vector>

#include <gtest/gtest.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

namespace tabard::pipeline {
namespace {

namespace fs = std::filesystem;
using tests::TemporaryFolder;

std::vector<std::byte> value(std::size_t size, int seed)
{
    std::vector<std::byte> bytes(size);
    for (std::size_t i = 0; i < size; ++i)
        bytes[i] = static_cast<std::byte>(i * 31 + static_cast<std::size_t>(seed));
    return bytes;
}

TEST(GroupCache, GivesBackWhatWasStoredAndNothingElse)
{
    TemporaryFolder const folder;
    GroupCache cache(folder / "new" / "deep");
    EXPECT_FALSE(cache.find("ab"));
    EXPECT_TRUE(cache.store("ab", value(1000, 1)));
    EXPECT_EQ(cache.find("ab"), value(1000, 1));
    EXPECT_FALSE(cache.find("abc"));
    EXPECT_TRUE(cache.store("ab", value(10, 2))); // one key, one value: the first stays
    EXPECT_EQ(GroupCache(folder / "new" / "deep").find("ab"), value(1000, 1));
    EXPECT_EQ(cache.usage().entries, 1);
}

TEST(GroupCache, TakesADamagedEntryForAbsent)
{
    TemporaryFolder const folder;
    GroupCache cache(folder.path());
    cache.store("ab", value(1000, 1));
    std::string const sound = tests::read_text(folder / "ab.group");
    for (std::size_t at : {std::size_t{0}, std::size_t{40}, sound.size() - 1}) {
        std::string damaged = sound;
        damaged[at] = static_cast<char>(damaged[at] ^ 1);
        tests::write_text(folder / "ab.group", damaged);
        EXPECT_FALSE(cache.find("ab")) << at;
        EXPECT_FALSE(fs::exists(folder / "ab.group")) << at; // and removes it
    }
    for (std::size_t length : {std::size_t{0}, std::size_t{31}, sound.size() / 2}) {
        tests::write_text(folder / "ab.group", sound.substr(0, length));
        EXPECT_FALSE(cache.find("ab")) << length;
    }
    tests::write_text(folder / "ab.group", sound);
    EXPECT_TRUE(cache.find("ab"));
}

TEST(GroupCache, TakesNoEntryThatStandsUnderTheNameOfAnother)
{
    TemporaryFolder const folder;
    GroupCache cache(folder.path());
    cache.store("ab", value(1000, 1));
    fs::copy_file(folder / "ab.group", folder / "cd.group");
    EXPECT_FALSE(cache.find("cd"));
    EXPECT_TRUE(cache.find("ab"));
}

TEST(GroupCache, StoresWhereADamagedEntryHasTheName)
{
    TemporaryFolder const folder;
    GroupCache cache(folder.path());
    tests::write_text(folder / "ab.group", "half of it");
    EXPECT_TRUE(cache.put("ab", value(1000, 1)));
    EXPECT_EQ(cache.find("ab"), value(1000, 1));
}

// Over NFS a file that was replaced while it is open gives ESTALE to its readers: the same file has to stay.
TEST(GroupCache, NeverPutsAnEntryInThePlaceOfOneThatIsRead)
{
    TemporaryFolder const folder;
    GroupCache cache(folder.path());
    cache.store("ab", value(1000, 1));
    struct stat before {
    }, after{};
    ASSERT_EQ(::stat((folder / "ab.group").c_str(), &before), 0);
    EXPECT_TRUE(GroupCache(folder.path()).put("ab", value(1000, 1)));
    ASSERT_EQ(::stat((folder / "ab.group").c_str(), &after), 0);
    EXPECT_EQ(before.st_ino, after.st_ino);
    EXPECT_EQ(std::distance(fs::directory_iterator(folder.path()), fs::directory_iterator()), 1); // nothing is left
}

TEST(GroupCache, AllWritersOfOneKeySucceedAtTheSameTime)
{
    TemporaryFolder const folder;
    std::vector<pid_t> writers;
    for (int i = 0; i < 6; ++i)
        if (writers.push_back(::fork()); writers.back() == 0) {
            GroupCache cache(folder.path());
            bool good = true;
            for (int key = 0; key < 40; ++key) {
                good = good && cache.put(std::to_string(key), value(50'000, key));
                good = good && cache.find(std::to_string(key)) == value(50'000, key);
            }
            ::_exit(good ? 0 : 1);
        }
    for (pid_t const writer : writers) {
        int status = 0;
        ::waitpid(writer, &status, 0);
        EXPECT_EQ(status, 0);
    }
    EXPECT_EQ(GroupCache(folder.path()).usage().entries, 40);
    EXPECT_EQ(std::distance(fs::directory_iterator(folder.path()), fs::directory_iterator()), 40);
}

TEST(GroupCache, KeepsWhatARunningPlanNeedsUntilItsPinIsADayOldOrGone)
{
    TemporaryFolder const folder;
    std::vector<std::string> const plan{"00", "01", "02"};
    GroupCache cache(folder.path());
    auto const fill = [&] {
        for (int i = 0; i < 9; ++i)
            cache.store("0" + std::to_string(i), value(1000, i));
    };
    auto const give_all_up = [&] { cache.give_up(1'000'000); };
    fill();
    ASSERT_TRUE(pin_plan(folder.path(), plan));
    ASSERT_TRUE(pin_plan(folder.path(), plan)); // by another machine of the plan
    give_all_up();
    EXPECT_EQ(cache.usage().entries, 3);
    EXPECT_TRUE(cache.find("00") && cache.find("01") && cache.find("02"));

    fs::path const pin = folder / (plan_name(plan) + ".pin");
    fs::last_write_time(pin, fs::file_time_type::clock::now() - kPinLasts - std::chrono::minutes(1));
    give_all_up();
    EXPECT_EQ(cache.usage().entries, 0);
    EXPECT_FALSE(fs::exists(pin));

    fill();
    ASSERT_TRUE(pin_plan(folder.path(), plan));
    unpin_plan(folder.path(), plan);
    give_all_up();
    EXPECT_EQ(cache.usage().entries, 0);
}

TEST(GroupCache, StaysUnderItsLimitAndForgetsTheLeastRecentlyUsedFirst)
{
    TemporaryFolder const folder;
    GroupCache cache(folder.path(), 10'000);
    auto const long_ago = fs::file_time_type::clock::now() - std::chrono::hours(2);
    for (int i = 0; i < 9; ++i) {
        cache.store("0" + std::to_string(i), value(1000, i));
        fs::last_write_time(folder / ("0" + std::to_string(i) + ".group"), long_ago + std::chrono::minutes(i));
        EXPECT_LE(cache.usage().bytes, 10'000);
    }
    ASSERT_TRUE(cache.find("00")); // the oldest is used again
    cache.store("aa", value(1000, 10));
    EXPECT_LE(cache.usage().bytes, 10'000);
    EXPECT_TRUE(cache.find("00"));
    EXPECT_TRUE(cache.find("aa"));
    EXPECT_FALSE(cache.find("01"));
}

TEST(GroupCache, ClearsItsEntriesAndLeavesOtherFilesAlone)
{
    TemporaryFolder const folder;
    GroupCache cache(folder.path());
    cache.store("ab", value(100, 1));
    cache.store("cd", value(100, 1));
    tests::write_text(folder / "holiday.jpg", "a picture");
    auto const removed = cache.clear();
    ASSERT_TRUE(removed);
    EXPECT_EQ(removed->entries, 2);
    EXPECT_EQ(cache.usage().entries, 0);
    EXPECT_TRUE(fs::exists(folder / "holiday.jpg"));
}

TEST(GroupCache, CountsAndClearsTheNotesOfSpeedLikeGroups)
{
    TemporaryFolder const folder;
    GroupCache cache(folder.path());
    cache.store("ab", value(100, 1));
    std::int64_t const group = cache.usage().bytes;
    note_speed(folder.path(), {}, {}, {0.5, 1e-7});
    EXPECT_EQ(cache.usage().entries, 2);
    EXPECT_GT(cache.usage().bytes, group);
    auto const removed = cache.clear();
    ASSERT_TRUE(removed);
    EXPECT_EQ(removed->entries, 2);
    EXPECT_EQ(last_speed(folder.path(), {}, {}), std::nullopt);
    EXPECT_TRUE(fs::is_empty(folder.path()));
}

TEST(GroupCache, SaysFalseWhereItCannotStoreAndGoesOn)
{
    TemporaryFolder const folder;
    tests::write_text(folder / "file", "in the way");
    GroupCache cache(folder / "file");
    EXPECT_FALSE(cache.store("ab", value(100, 1)));
    EXPECT_FALSE(cache.find("ab"));
}

// Two processes write and read the same keys; one is killed with SIGKILL while it writes, many times.
TEST(GroupCache, NeverGivesHalfAnEntryWhenWritersAreKilled)
{
    constexpr int kRounds = 30, kKeys = 200;
    TemporaryFolder const folder;
    auto const key = [](int round, int i) { return std::to_string(round * 1000 + i); };
    auto const found = [&](int round) {
        GroupCache const reader(folder.path());
        int count = 0;
        for (int i = 0; i < kKeys; ++i)
            if (auto const got = reader.find(key(round, i))) {
                EXPECT_EQ(*got, value(200'000, i));
                ++count;
            }
        return count;
    };
    int found_at_all = 0, cut_short = 0;
    for (int round = 0; round < kRounds; ++round) {
        pid_t const child = ::fork();
        if (child == 0) {
            GroupCache writer(folder.path());
            for (int i = 0; i < kKeys; ++i)
                writer.store(key(round, i), value(200'000, i));
            ::_exit(0);
        }
        std::this_thread::sleep_for(std::chrono::microseconds(500 + 757 * round));
        found_at_all += found(round);
        ::kill(child, SIGKILL);
        int status = 0;
        ::waitpid(child, &status, 0);
        cut_short += WIFSIGNALED(status);
        found(round);
    }
    EXPECT_GT(found_at_all, 10);
    EXPECT_GT(cut_short, kRounds / 2);
    GroupCache after(folder.path());
    EXPECT_TRUE(after.put(key(0, kKeys - 1), value(200'000, kKeys - 1)));
}

TEST(GroupCache, LivesWhereTheDesktopKeepsCaches)
{
    ::setenv("XDG_CACHE_HOME", "/somewhere/cache", 1);
    EXPECT_EQ(GroupCache::default_folder(), fs::path("/somewhere/cache/tabard"));
    ::setenv("XDG_CACHE_HOME", "relative", 1); // the specification: must be absolute, else ignored
    ::setenv("HOME", "/home/teacher", 1);
    EXPECT_EQ(GroupCache::default_folder(), fs::path("/home/teacher/.cache/tabard"));
    ::unsetenv("XDG_CACHE_HOME");
    EXPECT_EQ(GroupCache::default_folder(), fs::path("/home/teacher/.cache/tabard"));
}

std::string digest(overlay::Scene const& scene)
{
    Digest sum;
    add(sum, scene);
    return sum.hex();
}

TEST(SceneDigest, DiffersWhereverAnythingInTheSceneDiffers)
{
    using namespace overlay;
    ChordCard const chord{{"F♯m", "7", "E"}, Shape{{2, 4, 4, 2, 2, 2}, {1, 3, 4, 1, 1, 1}}, {0, 1}, {}};
    StrumLane lane{"rolling", *StrumPattern::parse("Dp - Dx Ui - Ui D> Ui"), {4, 4}, 3, 5};
    BarRibbon const ribbon{{{1, 4, {{{"C", "", ""}, 4}}}}, 0, 4, 8, 100, "Verse"};
    std::vector<Scene> scenes = {{}, {{{chord}}}, {{{chord, 4}}}, {{{chord}, {chord}}}, {{{lane}}}, {{{ribbon}}}};
    auto const vary = [&](auto content, auto change) {
        change(content);
        scenes.push_back({{{content}}});
    };
    vary(chord, [](ChordCard& c) { c.label.base = "F♯"; });
    vary(chord, [](ChordCard& c) { c.label.raised = ""; });
    vary(chord, [](ChordCard& c) { c.label.bass = ""; });
    vary(chord, [](ChordCard& c) { c.shape.reset(); });
    vary(chord, [](ChordCard& c) { c.shape->frets[5] = 3; });
    vary(chord, [](ChordCard& c) { c.shape->fingers.clear(); });
    vary(chord, [](ChordCard& c) { c.staying = {0}; });
    vary(chord, [](ChordCard& c) { c.anchored = {0, 1}; });
    vary(lane, [](StrumLane& l) { l.lit_step = 4; });
    vary(lane, [](StrumLane& l) { l.lit_step.reset(); });
    vary(lane, [](StrumLane& l) { l.pattern.swing = 0.6; });
    vary(lane, [](StrumLane& l) { l.pattern.steps[2].muted = false; });
    vary(lane, [](StrumLane& l) { l.meter = {2, 4}; });
    vary(lane, [](StrumLane& l) { l.next_stroke = 5; });
    vary(lane, [](StrumLane& l) { l.silent = true; });
    vary(chord, [](ChordCard& c) { c.coming = c.shape; });
    vary(chord, [](ChordCard& c) { c.alone = true; });
    vary(ribbon, [](BarRibbon& r) { r.pulse = 1; });
    vary(ribbon, [](BarRibbon& r) { r.pulse.reset(); });
    vary(ribbon, [](BarRibbon& r) { r.pulses = 2; });
    vary(ribbon, [](BarRibbon& r) { r.crowding = 101; });
    vary(ribbon, [](BarRibbon& r) { r.part = "Bridge"; });
    vary(ribbon, [](BarRibbon& r) { r.bars[0].number = 2; });
    vary(ribbon, [](BarRibbon& r) { r.bars[0].chords[0].beats = 2; });
    vary(NextChordCard{chord.label, chord.shape, chord.staying, {}, 2}, [](auto&) {});
    vary(NextChordCard{chord.label, chord.shape, chord.staying, {}, 3}, [](auto&) {});
    vary(NextChordCard{chord.label, chord.shape, chord.staying, {}, 3, 4}, [](auto&) {});
    for (auto const corner : {Corner::top_left, Corner::top_right, Corner::bottom_left, Corner::bottom_right})
        scenes.push_back({{{chord, kFullLevel, corner}}});
    vary(CapoLine{4, "C", "E"}, [](auto&) {});
    vary(CapoLine{4, "CE", ""}, [](auto&) {});
    vary(SectionBanner{"Chorus", ""}, [](auto&) {});
    vary(TextCard{"Chorus"}, [](auto&) {});
    vary(CountIn{2, 4}, [](auto&) {});
    vary(CountIn{4, 2}, [](auto&) {});
    vary(CountIn{2, 4, 5}, [](auto&) {});
    vary(ribbon, [](BarRibbon& r) { r.groups = 5; });
    vary(NextChordCard{chord.label, chord.shape, chord.staying, {}, 3, 4, 5}, [](auto&) {});
    vary(StrumLane{}, [](auto&) {});
    vary(StrumLane{}, [](StrumLane& l) { l.meter.written = 5; });
    std::vector<std::string> digests;
    for (Scene const& scene : scenes)
        digests.push_back(digest(scene));
    EXPECT_EQ(digest(scenes[1]), digests[1]);
    std::sort(digests.begin(), digests.end());
    EXPECT_EQ(std::unique(digests.begin(), digests.end()), digests.end());
    EXPECT_GT(digests.size(), 25u);
}

} // namespace
} // namespace tabard::pipeline
