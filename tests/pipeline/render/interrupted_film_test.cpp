// What is left when a render is killed, or the disk is full: the film whole or not at all, and a cache that goes on.
#include "pipeline/render/group_cache.h"
#include "tests/pipeline/render/film_for_test.h"
#include "tests/support/footage.h"
#include "tests/support/run_program.h"

#include <algorithm>
#include <csignal>
#include <cstdlib>
#include <functional>
#include <random>
#include <thread>

#include <fmt/format.h>
#include <gtest/gtest.h>
#include <sched.h>
#include <sys/mount.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

namespace tabard::pipeline {
namespace {

namespace fs = std::filesystem;
using tests::TemporaryFolder;

FilmJob five_group_job(TemporaryFolder const& folder, std::string const& target)
{
    FilmJob job = tests::job_for(folder / "in.mp4", folder / target,
                                 {{from_seconds(0.2), from_seconds(4.5), tests::text_scene()}});
    job.write.encoder.preset = "veryfast";
    job.existing = Existing::replace;
    job.cache = folder / "cache";
    return job;
}

void make_five_groups(TemporaryFolder const& folder)
{
    tests::make_footage(folder / "in.mp4", "testsrc2=s=160x96:r=25:d=5", {"-pix_fmt", "yuv420p", "-g", "25"});
}

/// How many rounds to kill in: TABARD_KILLED_ROUNDS, or as many as a suite that is run often can bear.
int killed_rounds()
{
    char const* const asked = std::getenv("TABARD_KILLED_ROUNDS");
    return asked ? std::atoi(asked) : 8;
}

// A process of its own renders and is killed after `patience`. Whether it was still at it.
bool render_and_kill(FilmJob const& job, std::chrono::duration<double> patience)
{
    pid_t const child = ::fork();
    if (child == 0)
        ::_exit(render_film(job) ? 0 : 1);
    std::this_thread::sleep_for(patience);
    ::kill(child, SIGKILL);
    int status = 0;
    ::waitpid(child, &status, 0);
    return WIFSIGNALED(status);
}

// Moments at random (the seed is fixed) over what a render takes, from its first to past its last write. In each round
// a render that begins from nothing is killed, and in every second one what takes it up as well.
TEST(KilledRender, IsTakenUpAgainAndGivesTheSameFilm)
{
    TemporaryFolder const folder;
    make_five_groups(folder);
    FilmJob uncached = five_group_job(folder, "reference.mp4");
    uncached.cache.reset();
    auto const begin = std::chrono::steady_clock::now();
    ASSERT_TRUE(render_film(uncached));
    std::chrono::duration<double> const whole_time = std::chrono::steady_clock::now() - begin;
    std::string const reference = tests::read_text(folder / "reference.mp4");

    std::mt19937 random(20261125);
    FilmJob job = five_group_job(folder, "out.mp4");
    job.allowance.jobs = 8; // all groups are in work when it ends
    int killed = 0;
    std::int64_t taken_up = 0;
    int const rounds = killed_rounds();
    for (int round = 0; round < rounds; ++round) {
        SCOPED_TRACE(round);
        fs::remove_all(folder / "cache");
        fs::remove(folder / "out.mp4");
        for (int again = 0; again <= round % 2; ++again) {
            killed += render_and_kill(job, whole_time * static_cast<double>(random() % 1000) / 1000.0);
            if (fs::exists(folder / "out.mp4")) {
                ASSERT_TRUE(tests::read_text(folder / "out.mp4") == reference);
            }
        }
        auto const report = render_film(job);
        ASSERT_TRUE(report) << report.error().what;
        taken_up += report->from_cache;
        ASSERT_TRUE(tests::read_text(folder / "out.mp4") == reference);
        // in.mp4, reference.mp4, out.mp4 and the cache: nothing of the killed runs is left.
        ASSERT_EQ(std::distance(fs::directory_iterator(folder.path()), fs::directory_iterator()), 4);
    }
    // How many moments fall into the work, and after how much of it, is the machine's affair.
    RecordProperty("killed", killed);
    RecordProperty("taken_up", std::to_string(taken_up));
    EXPECT_GT(killed, 0);
}

/// Mounts a file system of `bytes` at `folder`, in a namespace that ends with this process. Only root can.
bool mount_small_disk(fs::path const& folder, std::size_t bytes)
{
    return ::unshare(CLONE_NEWNS) == 0 && ::mount("none", "/", nullptr, MS_REC | MS_PRIVATE, nullptr) == 0 &&
           ::mount("tmpfs", folder.c_str(), "tmpfs", 0, fmt::format("size={}", bytes).c_str()) == 0;
}

// On the small disk: the film where it fits, else an error and nothing. Then the disk grows, and the same call gives
// the film.
void expect_whole_or_nothing(FilmJob const& job, bool fits, std::string const& reference)
{
    fs::path const disk = job.target.parent_path();
    auto const report = render_film(job);
    EXPECT_EQ(static_cast<bool>(report), fits);
    EXPECT_EQ(fs::exists(job.target), fits);
    if (!report) {
        EXPECT_EQ(report.error().kind, ErrorKind::io); // exit code 4 in the program
        EXPECT_EQ(report.error().what, job.target.string() + ": cannot write: No space left on device");
    }
    for (auto const& entry : fs::directory_iterator(disk))
        EXPECT_TRUE(entry.path() == job.target || entry.path() == *job.cache) << entry.path();
    if (fs::exists(*job.cache)) {
        for (auto const& entry : fs::directory_iterator(*job.cache))
            EXPECT_TRUE(entry.path().extension() == ".speed" || GroupCache(*job.cache).find(entry.path().stem()))
                << entry.path();
    }
    ASSERT_EQ(::mount("none", disk.c_str(), "tmpfs", MS_REMOUNT, "size=50m"), 0);
    auto const again = render_film(job);
    ASSERT_TRUE(again) << again.error().what;
    EXPECT_TRUE(tests::read_text(job.target) == reference);
}

constexpr int kNoDisk = 77;

/// Runs `test` in a process that has a disk of `bytes` at `folder`. False where there can be none.
bool on_small_disk(fs::path const& folder, std::size_t bytes, std::function<void()> const& test)
{
    pid_t const child = ::fork();
    if (child == 0) {
        if (!mount_small_disk(folder, bytes))
            ::_exit(kNoDisk);
        test();
        ::_exit(testing::Test::HasFailure() ? 1 : 0);
    }
    int status = 0;
    ::waitpid(child, &status, 0);
    if (WIFEXITED(status) && WEXITSTATUS(status) == kNoDisk)
        return false;
    EXPECT_EQ(status, 0);
    return true;
}

TEST(FullDisk, GivesAnErrorAndNoFilmAndGoesOnWhenThereIsRoom)
{
    TemporaryFolder const folder;
    make_five_groups(folder);
    fs::create_directory(folder / "disk");
    FilmJob reference_job = five_group_job(folder, "reference.mp4");
    reference_job.cache.reset();
    ASSERT_TRUE(render_film(reference_job));
    std::string const reference = tests::read_text(folder / "reference.mp4");
    for (double const share : {0.0, 0.3, 0.9, 1.4, 4.0}) { // of the film's size; the cache would take as much again
        SCOPED_TRACE(share);
        auto const bytes = static_cast<std::size_t>(share * static_cast<double>(reference.size())) + 8192;
        bool const mounted = on_small_disk(folder / "disk", bytes, [&] {
            FilmJob job = five_group_job(folder, "disk/out.mp4");
            job.cache = folder / "disk/cache";
            expect_whole_or_nothing(job, share > 1, reference);
        });
        if (!mounted)
            GTEST_SKIP() << "only root can mount a small file system, and not in every container";
    }
}

// The groups of other films, an hour old.
void fill_cache(fs::path const& folder, std::int64_t bytes)
{
    GroupCache cache(folder);
    std::vector<std::byte> const group(20'000);
    for (int i = 0; bytes > 0; ++i, bytes -= 20'480) {
        std::string const key = fmt::format("{:032x}", i);
        EXPECT_TRUE(cache.store(key, group));
        fs::last_write_time(folder / (key + ".group"), fs::file_time_type::clock::now() - std::chrono::hours(1));
    }
}

// Nothing but groups of other films stands in the way: they go, as many as must, in both ways to make a film.
TEST(FullDisk, OfACacheGivesTheFilmItsRoomAndSaysSo)
{
    TemporaryFolder const folder;
    make_five_groups(folder);
    fs::create_directory(folder / "disk");
    auto const film_bytes = static_cast<std::int64_t>(fs::file_size(folder / "in.mp4"));
    for (Method const method : {Method::splice_only, Method::whole}) {
        bool const mounted = on_small_disk(folder / "disk", 40'000'000, [&] {
            FilmJob job = five_group_job(folder, "disk/out.mp4");
            job.write.encoder.crf.reset();
            job.method = method;
            job.cache = folder / "disk/cache";
            std::int64_t const cached = 40'000'000 - film_bytes / 2; // half of the film would fit
            fill_cache(*job.cache, cached);
            for (int round = 0; round < 2; ++round) {
                auto const report = render_film(job);
                ASSERT_TRUE(report) << report.error().what;
                bool const said = std::ranges::any_of(report->notes, [](std::string const& note) {
                    return note.find("were removed to make room for the film") != std::string::npos;
                });
                EXPECT_TRUE(said ||
                            round > 0); // the first film stays until the second is whole, and takes room as well
            }
            if (method == Method::splice_only) {
                EXPECT_GT(GroupCache(*job.cache).usage().bytes, cached / 2); // no more than had to
            }
        });
        if (!mounted)
            GTEST_SKIP() << "only root can mount a small file system, and not in every container";
    }
}

TEST(FullDisk, ThatIsTooSmallForTheFilmSaysWhatBecameOfTheCache)
{
    TemporaryFolder const folder;
    make_five_groups(folder);
    fs::create_directory(folder / "disk");
    constexpr std::size_t kCached = 81'920;
    bool const mounted = on_small_disk(folder / "disk", fs::file_size(folder / "in.mp4") / 2 + kCached, [&] {
        FilmJob job = five_group_job(folder, "disk/out.mp4");
        job.cache = folder / "disk/cache";
        fill_cache(*job.cache, kCached);
        for (int round = 0; round < 2; ++round) {
            auto const report = render_film(job);
            ASSERT_FALSE(report);
            EXPECT_EQ(report.error().kind, ErrorKind::io);
            EXPECT_EQ(report.error().what.find("; the cache '" + job.cache->string() + "'") != std::string::npos,
                      round == 0)
                << report.error().what;
            EXPECT_FALSE(fs::exists(job.target));
        }
    });
    if (!mounted)
        GTEST_SKIP() << "only root can mount a small file system, and not in every container";
}

// A limit on the size of files needs no rights, and the writes fail in the same places as on a full disk.
TEST(FullDisk, AsALimitOnFilesGivesAnErrorAndNoFilmAndTheCacheStaysSound)
{
    TemporaryFolder const folder;
    make_five_groups(folder);
    for (Method const method : {Method::splice_only, Method::whole}) {
        pid_t const child = ::fork();
        if (child == 0) {
            std::signal(SIGXFSZ, SIG_IGN);
            rlimit const limit{20'000, 20'000};
            ::setrlimit(RLIMIT_FSIZE, &limit);
            FilmJob job = five_group_job(folder, "out.mp4");
            job.method = method;
            auto const report = render_film(job);
            ::_exit(report ? 100 : static_cast<int>(report.error().kind));
        }
        int status = 0;
        ::waitpid(child, &status, 0);
        EXPECT_EQ(WEXITSTATUS(status), static_cast<int>(ErrorKind::io));
        EXPECT_FALSE(fs::exists(folder / "out.mp4"));
    }
    for (auto const& entry : fs::directory_iterator(folder.path()))
        EXPECT_TRUE(entry.path().filename() == "in.mp4" || entry.path().filename() == "cache") << entry.path();
    auto const report = render_film(five_group_job(folder, "out.mp4"));
    ASSERT_TRUE(report) << report.error().what;
}

} // namespace
} // namespace tabard::pipeline
