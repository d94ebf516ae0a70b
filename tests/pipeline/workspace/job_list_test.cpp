#include "pipeline/workspace/job_list.h"
#include "tests/support/run_program.h"

#include <chrono>

#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace tabard::pipeline {
namespace {

namespace fs = std::filesystem;
using namespace std::chrono_literals;
using testing::HasSubstr;

// Ninja's manual, "Lexical syntax": "$ " is a space, "$:" a colon, "$$" a dollar.
TEST(JobList, APathIsEscapedAsNinjaWantsIt) { EXPECT_EQ(ninja_path("/a b/c:d/$e.mp4"), "/a$ b/c$:d/$$e.mp4"); }

TEST(JobList, AFilmIsStaleThatIsMissingOrNotNewerThanAllItIsMadeOf)
{
    tests::TemporaryFolder const folder;
    FilmToMake const job{folder / "a.json", folder / "a.mp4", {folder / "a.json", folder / "take.mp4"}};
    auto const now = fs::file_time_type::clock::now();
    auto const written = [&](char const* name, std::chrono::seconds ago) {
        tests::write_text(folder / name, name);
        fs::last_write_time(folder / name, now - ago);
    };
    written("a.json", 30s);
    written("take.mp4", 40s);
    EXPECT_TRUE(is_stale(job)); // no film
    written("a.mp4", 20s);
    EXPECT_FALSE(is_stale(job));
    written("take.mp4", 10s);
    EXPECT_TRUE(is_stale(job));
    written("take.mp4", 20s); // in the same instant: who can tell
    EXPECT_TRUE(is_stale(job));
    written("a.mp4", 5s);
    EXPECT_FALSE(is_stale(job));
    fs::remove(folder / "take.mp4");
    EXPECT_TRUE(is_stale(job));
}

TEST(JobList, ALineBreakInANameIsRefused)
{
    FilmToMake const job{"/a\nb.json", "/a.mp4", {}};
    EXPECT_EQ(ninja_file("/usr/bin/tabard", {job}).error().kind, ErrorKind::invalid_input);
    EXPECT_EQ(slurm_script("/usr/bin/tabard", {job}, 4).error().kind, ErrorKind::invalid_input);
}

TEST(JobList, TheSlurmScriptIsOneThatTheShellUnderstands)
{
    tests::TemporaryFolder const folder;
    FilmToMake const job{"/les sons/it's $1.json", "/films/it's $1.mp4", {}};
    auto const script = slurm_script("/usr/bin/tabard", {job, job}, 4);
    ASSERT_TRUE(script);
    tests::write_text(folder / "submit.sh", *script);
    EXPECT_EQ(tests::run_program({"/bin/sh", "-n", folder / "submit.sh"}).err, "");
}

// Slurm's manual, sbatch(1): --parsable prints the job's number, and the cluster's name behind a semicolon.
TEST(JobList, TheSlurmScriptHandsInSharesAndThenTheirFilm)
{
    tests::TemporaryFolder const folder;
    FilmToMake const first{"/lessons/it's $1.json", folder / "films/it's $1.mp4", {}};
    FilmToMake const second{"/lessons/b.json", folder / "films/b.mp4", {}};
    tests::write_text(folder / "submit.sh", *slurm_script("/bin/echo", {first, second}, 4));
    tests::write_text(folder / "sbatch",
                      "#!/bin/sh\necho \"$*\" >> " + (folder / "log").string() + "\necho '17;quay'\n");
    fs::permissions(folder / "sbatch", fs::perms::owner_all);
    std::string const script = folder / "submit.sh";
    auto const run = [&](std::string const& words) {
        return tests::run_program(
            {"/bin/sh", "-c",
             "cd " + folder.path().string() + "; TABARD_CACHE=. PATH=.:$PATH; export TABARD_CACHE; " + words});
    };
    EXPECT_EQ(run("timeout 20 sh " + script + " --partition=lessons").exit, 0);
    std::string const array = "--parsable --requeue --job-name=tabard-share --array=1-4 --partition=lessons " + script;
    std::string const film = "--requeue --job-name=tabard-film --dependency=afterany:17 --partition=lessons " + script;
    EXPECT_EQ(tests::read_text(folder / "log"),
              array + " share 0\n" + film + " film 0\n" + array + " share 1\n" + film + " film 1\n");
    // What a job does then; the program is `echo`.
    EXPECT_EQ(run("SLURM_ARRAY_TASK_ID=3 sh " + script + " share 0").out, "render /lessons/it's $1.json --share 3/4\n");
    EXPECT_EQ(run("sh " + script + " film 0").out,
              "render /lessons/it's $1.json --force -o " + first.film.string() + "\n");
    EXPECT_TRUE(fs::is_directory(folder / "films"));
    EXPECT_EQ(run("SLURM_ARRAY_TASK_ID=4 sh " + script + " share 1").out, "render /lessons/b.json --share 4/4\n");
    EXPECT_EQ(run("sh " + script + " film 2").exit, 1) << "there are two, counted from 0";
}

TEST(JobList, TheNinjaFileMakesAFilmOfAllThatItIsMadeOf)
{
    FilmToMake const job{"/a b.json", "/it's $1.mp4", {"/a b.json", "/take.mp4"}};
    EXPECT_THAT(*ninja_file("/usr/bin/tabard", {job}),
                HasSubstr("\nbuild /it's$ $$1.mp4: render /a$ b.json /take.mp4\n"
                          "  words = '/usr/bin/tabard' render '/a b.json' --force -o '/it'\\''s $$1.mp4'\n"));
}

} // namespace
} // namespace tabard::pipeline
