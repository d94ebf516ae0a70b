// What is left when a render is killed, or the disk is full: the film whole or not at all, and a cache that goes on.
#include "tests/pipeline/render/film_for_test.h"
#include "tests/support/footage.h"
#include "tests/support/run_program.h"

#include <csignal>
#include <random>
#include <thread>

#include <gtest/gtest.h>
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

// Fifty moments at random (the seed is fixed) over what a render takes, from its first to past its last write.
TEST(KilledRender, IsTakenUpAgainAndGivesTheSameFilm)
{
    TemporaryFolder const folder;
    make_five_groups(folder);
    FilmJob uncached = five_group_job(folder, "reference.mp4");
    uncached.cache.reset();
    auto const begin = std::chrono::steady_clock::now();
    ASSERT_TRUE(render_film(uncached));
    auto const whole_time = std::chrono::steady_clock::now() - begin;
    std::string const reference = tests::read_text(folder / "reference.mp4");

    std::mt19937 random(20261125);
    FilmJob const job = five_group_job(folder, "out.mp4");
    int killed = 0;
    for (int round = 0; round < 50; ++round) {
        if (round % 10 == 0) { // begin anew now and then, else the cache makes every later round short
            fs::remove_all(folder / "cache");
            fs::remove(folder / "out.mp4");
        }
        pid_t const child = ::fork();
        if (child == 0)
            ::_exit(render_film(job) ? 0 : 1);
        std::this_thread::sleep_for(whole_time * static_cast<double>(random() % 1000) / 1000.0);
        ::kill(child, SIGKILL);
        int status = 0;
        ::waitpid(child, &status, 0);
        killed += WIFSIGNALED(status);
        if (fs::exists(folder / "out.mp4")) {
            ASSERT_TRUE(tests::read_text(folder / "out.mp4") == reference);
        }
    }
    EXPECT_GT(killed, 10);
    auto const report = render_film(job);
    ASSERT_TRUE(report) << report.error().what;
    EXPECT_TRUE(tests::read_text(folder / "out.mp4") == reference);
    // in.mp4, reference.mp4, out.mp4 and the cache: nothing of the killed runs is left.
    EXPECT_EQ(std::distance(fs::directory_iterator(folder.path()), fs::directory_iterator()), 4);
}

// A limit on the size of files stands for the full disk: it needs no rights, and the writes fail in the same places.
TEST(FullDisk, GivesAnErrorAndNoFilmAndTheCacheStaysSound)
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
