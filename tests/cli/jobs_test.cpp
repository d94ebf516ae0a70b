// A folder of lessons as jobs: Ninja runs them; a stand-in for sbatch shows what Slurm would be given.
#include "tests/support/footage.h"
#include "tests/support/run_program.h"

#include <chrono>
#include <cstdlib>
#include <filesystem>
#include <regex>
#include <string>
#include <vector>

#include <fmt/format.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace tabard::tests {
namespace {

namespace fs = std::filesystem;
using namespace std::chrono_literals;
using testing::AllOf;
using testing::HasSubstr;
using testing::Not;

/// Two lessons whose names a shell and Ninja would misread, and other files beside them.
class Jobs : public testing::Test {
protected:
    Jobs()
    {
        setenv("TABARD_CACHE", (m_folder / "cache").c_str(), 1);
        fs::create_directories(m_lessons / "part two");
        make_footage(m_lessons / "take: 1.mp4", "testsrc2=s=320x180:r=25:d=1",
                     {"-pix_fmt", "yuv420p", "-preset", "ultrafast", "-g", "10"});
        fs::copy_file(m_lessons / "take: 1.mp4", m_lessons / "part two" / "take: 1.mp4");
        lesson("it's $5: a \"start\".json");
        lesson("part two/second & last.json");
        write_text(m_lessons / "holiday.json", R"({"sun": true, "made by": "tabard"})");
        write_text(m_lessons / "schema.json", R"({"properties": {"tabard": {"const": 1}}, "end": "tabard"})");
        age();
    }
    ~Jobs() override { unsetenv("TABARD_CACHE"); }

    void lesson(std::string const& name) const
    {
        write_text(m_lessons / name, R"({"tabard": 1, "title": "Lantern on the Quay", "footage": "take: 1.mp4",
 "instrument": "guitar", "key": "C",
 "sections": [{"name": "", "from": "0:00", "to": "0:01", "show": [{"chord": "C", "from": "0:00.1", "to": "0:00.9"}]}]})");
    }
    /// All that is there was written a while ago.
    void age() const
    {
        for (auto const& entry : fs::recursive_directory_iterator(m_lessons))
            if (entry.is_regular_file())
                fs::last_write_time(entry.path(), fs::file_time_type::clock::now() - 1h);
    }

    ProgramRun jobs(std::vector<std::string> const& words) const
    {
        std::vector<std::string> all{TABARD_PROGRAM, "jobs", m_lessons, "--to", m_folder / "the films"};
        all.insert(all.end(), words.begin(), words.end());
        return run_program(all);
    }

    TemporaryFolder m_folder;
    fs::path m_lessons = m_folder / "lessons";
    fs::path m_first = m_folder / "the films" / "it's $5: a \"start\".mp4";
    fs::path m_second = m_folder / "the films" / "part two" / "second & last.mp4";
    std::string m_build = m_folder / "build.ninja";
};

TEST_F(Jobs, NinjaMakesTheFilmsAndThenNoneIsStaleUntilALessonChanges)
{
    ProgramRun const list = jobs({"-o", m_build});
    ASSERT_EQ(list.exit, 0) << list.err;
    EXPECT_THAT(list.err, HasSubstr("2 of 2 lessons are to be rendered"));
    ProgramRun const built = run_program({"ninja", "-C", m_folder.path(), "-f", m_build});
    ASSERT_EQ(built.exit, 0) << built.out << built.err;
    EXPECT_EQ(ffprobe_rows(m_first, "packet=pts_time").size(), 25u);
    EXPECT_EQ(ffprobe_rows(m_second, "packet=pts_time").size(), 25u);
    EXPECT_THAT(run_program({"ninja", "-C", m_folder.path(), "-f", m_build}).out, HasSubstr("no work to do"));
    EXPECT_THAT(jobs({}).err, HasSubstr("0 of 2 lessons are to be rendered"));

    lesson("part two/second & last.json");
    fs::last_write_time(m_second, fs::file_time_type::clock::now() - 1s);
    ProgramRun const again = jobs({});
    EXPECT_THAT(again.err, HasSubstr("1 of 2 lessons"));
    EXPECT_THAT(again.out, AllOf(HasSubstr("second"), Not(HasSubstr("start"))));
    EXPECT_EQ(jobs({"-o", m_build}).exit, 3); // it is there
    EXPECT_EQ(jobs({"-o", m_build, "--force"}).exit, 0);
    EXPECT_THAT(run_program({"ninja", "-C", m_folder.path(), "-f", m_build}).out, HasSubstr("[1/1]"));
}

// The stand-in runs each job at once, as Slurm would sooner or later.
TEST_F(Jobs, SlurmFillsTheCacheInSharesAndThenMakesTheFilms)
{
    std::string const script = m_folder / "submit.sh";
    ASSERT_EQ(jobs({"--format", "slurm", "--shares", "2", "-o", script}).exit, 0);
    fs::create_directory(m_folder / "bin");
    write_text(m_folder / "bin" / "sbatch", R"(#!/bin/sh
echo "$*" >> "$SBATCH_LOG"
tasks=0
for word; do
    case $word in
    --array=1-*) tasks=${word#--array=1-} ;;
    --*) ;;
    *) break ;;
    esac
done
while case ${1-} in --*) true ;; *) false ;; esac; do shift; done
if [ "$tasks" = 0 ]; then sh "$@" 2>> "$SBATCH_LOG"; fi
for task in $(seq "$tasks"); do SLURM_ARRAY_TASK_ID=$task sh "$@" 2>> "$SBATCH_LOG"; done
echo "17;quay"
)");
    fs::permissions(m_folder / "bin" / "sbatch", fs::perms::owner_all);
    setenv("SBATCH_LOG", (m_folder / "log").c_str(), 1);
    ProgramRun const run =
        run_program({"/bin/sh", "-c",
                     fmt::format("PATH={}:$PATH; sh {} --partition=lessons", (m_folder / "bin").string(), script)});
    unsetenv("SBATCH_LOG");
    std::string const log = read_text(m_folder / "log");
    EXPECT_EQ(run.exit, 0) << run.err << log;
    EXPECT_THAT(log, AllOf(HasSubstr("--array=1-2 --partition=lessons"), HasSubstr("--dependency=afterany:17 "),
                           HasSubstr("share 2 of 2"), HasSubstr("0 of 3 groups encoded, 3 from the cache")));
    EXPECT_TRUE(fs::exists(m_first));
    EXPECT_TRUE(fs::exists(m_second));
}

TEST_F(Jobs, ALessonThatCannotBeRenderedIsNamedAndTheOthersAreListed)
{
    write_text(m_lessons / "broken.json", R"({"tabard": 1, "title": )");
    ProgramRun const run = jobs({});
    EXPECT_EQ(run.exit, 1);
    EXPECT_THAT(run.err, AllOf(HasSubstr("broken.json"), HasSubstr("2 of 3 lessons are to be rendered; 1 cannot be")));
    EXPECT_EQ(run_program({TABARD_PROGRAM, "jobs", m_folder / "nowhere", "--to", m_folder / "films"}).exit, 3);
}

TEST_F(Jobs, AFolderIsTheSameHoweverItIsWritten)
{
    std::string const plain = jobs({}).out;
    EXPECT_THAT(plain, HasSubstr("the$ films/part$ two/second$ &$ last.mp4"));
    for (std::string const folder : {"lessons/", "./lessons", "lessons/.", "lessons/part two/..", "."}) {
        ProgramRun const run =
            run_program({"/bin/sh", "-c", "cd \"$1\" && \"$2\" jobs \"$3\" --to \"$4\"", "sh",
                         folder == "." ? m_lessons : m_folder.path(), TABARD_PROGRAM, folder, m_folder / "the films"});
        EXPECT_EQ(run.out, plain) << folder << run.err;
    }
}

TEST_F(Jobs, NoFilmTakesThePlaceOfFootageEvenOfAnotherLesson)
{
    auto const refused = [&](std::vector<std::string> const& words) {
        std::vector<std::string> all{TABARD_PROGRAM, "jobs", m_lessons, "--to", m_lessons};
        all.insert(all.end(), words.begin(), words.end());
        ProgramRun const run = run_program(all);
        EXPECT_EQ(run.exit, 3);
        EXPECT_EQ(run.out, "");
        return run.err;
    };
    fs::rename(m_lessons / "part two" / "second & last.json", m_lessons / "take: 1.json");
    EXPECT_THAT(refused({}), HasSubstr("take: 1.mp4', which a lesson needs"));
    // Its own footage is another film now; the first lesson still needs this one.
    write_text(m_lessons / "take: 1.json", std::regex_replace(read_text(m_lessons / "take: 1.json"),
                                                              std::regex("take: 1.mp4"), "part two/take: 1.mp4"));
    EXPECT_THAT(refused({}), HasSubstr("take: 1.mp4', which a lesson needs"));
    std::string const cues = m_lessons / "it's $5: a \"start\".json";
    std::string const before = read_text(cues);
    EXPECT_EQ(jobs({"-o", cues, "--force"}).exit, 3); // nor does the list
    EXPECT_EQ(read_text(cues), before);
}

} // namespace
} // namespace tabard::tests
