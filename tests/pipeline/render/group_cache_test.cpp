#include "pipeline/render/group_cache.h"
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
    EXPECT_TRUE(cache.store("ab", value(10, 2)));
    EXPECT_EQ(GroupCache(folder / "new" / "deep").find("ab"), value(10, 2));
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
    }
    for (std::size_t length : {std::size_t{0}, std::size_t{31}, sound.size() / 2}) {
        tests::write_text(folder / "ab.group", sound.substr(0, length));
        EXPECT_FALSE(cache.find("ab")) << length;
    }
    tests::write_text(folder / "ab.group", sound);
    EXPECT_TRUE(cache.find("ab"));
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
    TemporaryFolder const folder;
    int found = 0;
    for (int round = 0; round < 30; ++round) {
        pid_t const child = ::fork();
        if (child == 0) {
            GroupCache writer(folder.path());
            for (int i = 0;; ++i)
                writer.store("0" + std::to_string(i % 3), value(200'000, i % 3));
        }
        std::this_thread::sleep_for(std::chrono::microseconds(500 + 257 * round));
        GroupCache const reader(folder.path());
        for (int i = 0; i < 3; ++i)
            if (auto const got = reader.find("0" + std::to_string(i))) {
                EXPECT_EQ(*got, value(200'000, i));
                ++found;
            }
        ::kill(child, SIGKILL);
        ::waitpid(child, nullptr, 0);
    }
    EXPECT_GT(found, 10);
    GroupCache const after(folder.path());
    for (int i = 0; i < 3; ++i)
        EXPECT_EQ(after.find("0" + std::to_string(i)), value(200'000, i));
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
    BarRibbon const ribbon{{{1, 4, false, {{{"C", "", ""}, 4}}}}, 0, 2, 8};
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
    vary(ribbon, [](BarRibbon& r) { r.beat = 1; });
    vary(ribbon, [](BarRibbon& r) { r.bars[0].simile = true; });
    vary(ribbon, [](BarRibbon& r) { r.bars[0].chords[0].beats = 2; });
    vary(NextChordCard{chord.label, chord.shape, chord.staying, {}, 2}, [](auto&) {});
    vary(NextChordCard{chord.label, chord.shape, chord.staying, {}, 3}, [](auto&) {});
    for (auto const corner : {Corner::top_left, Corner::top_right, Corner::bottom_left, Corner::bottom_right})
        scenes.push_back({{{chord, kFullLevel, corner}}});
    vary(CapoLine{4, "C", "E"}, [](auto&) {});
    vary(CapoLine{4, "CE", ""}, [](auto&) {});
    vary(SectionBanner{"Chorus", ""}, [](auto&) {});
    vary(TextCard{"Chorus"}, [](auto&) {});
    vary(CountIn{2, 4}, [](auto&) {});
    vary(CountIn{4, 2}, [](auto&) {});
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
