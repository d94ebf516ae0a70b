#include "pipeline/desk/runs/command_runs.h"
#include "tests/support/footage.h"
#include "tests/support/run_program.h"

#include <atomic>
#include <chrono>
#include <csignal>
#include <cstdlib>
#include <filesystem>
#include <mutex>
#include <string>
#include <thread>
#include <vector>

#include <fmt/format.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <sys/wait.h>
#include <unistd.h>

namespace tabard::pipeline {
namespace {

namespace fs = std::filesystem;
using namespace std::chrono_literals;
using testing::Each;
using testing::HasSubstr;
using testing::IsEmpty;
using tests::read_text;
using tests::TemporaryFolder;
using tests::write_text;

/// A program that does what its second word says: the first is "-c", as a shell takes it.
CommandPlan shell(std::string const& script, fs::path const& folder)
{
    CommandPlan plan;
    plan.kind = "render";
    plan.words = "Trying";
    plan.arguments = {"-c", script};
    plan.folder = folder;
    return plan;
}

/// Until `holds`, or ten seconds are over.
template <class Condition>
bool eventually(Condition const& holds)
{
    for (int tenths = 0; tenths < 1000; ++tenths) {
        if (holds())
            return true;
        std::this_thread::sleep_for(10ms);
    }
    return false;
}

class Commands : public testing::Test {
protected:
    CommandRun ended(CommandRuns const& runs, std::string const& id) const
    {
        EXPECT_TRUE(eventually([&] { return runs.find(id)->state != RunState::running; }));
        return *runs.find(id);
    }
    static void ignore(CommandRun const&) {}

    TemporaryFolder m_folder;
};

TEST_F(Commands, GiveTheirLastMessageAndWhatTheyPrinted)
{
    CommandRuns runs{"/bin/sh", ignore};
    CommandPlan plan =
        shell("echo one >&2; echo '{}'; echo 'Wrote film.mp4. Next: tabard check film.mp4' >&2", m_folder.path());
    plan.outcome = [](CommandEnd const& end) -> Result<CommandOutcome> {
        return CommandOutcome{{{"film.mp4", "/nowhere/film.mp4"}}, "\"" + end.out.substr(0, 2) + "\"", ""};
    };
    CommandRun const run = ended(runs, *runs.begin(plan));
    EXPECT_EQ(run.state, RunState::done);
    EXPECT_EQ(run.what, "Wrote film.mp4.");
    EXPECT_EQ(run.result, "\"{}\"");
    EXPECT_EQ(run.made.at(0).name, "film.mp4");
    EXPECT_EQ(run.share, 1);
    EXPECT_THAT(run.command, HasSubstr("tabard -c '"));
}

TEST_F(Commands, SayTheSentenceThatTheyFailedWith)
{
    CommandRuns runs{"/bin/sh", ignore};
    auto const why = [&](char const* script) {
        CommandRun const run = ended(runs, *runs.begin(shell(script, m_folder.path())));
        EXPECT_EQ(run.state, RunState::failed) << script;
        return run.what;
    };
    EXPECT_EQ(why("echo note >&2; echo 'tabard: the disk is full; make room' >&2; exit 4"),
              "the disk is full; make room");
    EXPECT_EQ(why("exit 3"), "the command ended with exit code 3 and said nothing");
    EXPECT_THAT(why("kill -KILL $$"), HasSubstr("signal 9")); // signal(7)
    EXPECT_EQ(why("exit 1"), "the command ended with exit code 1 and said nothing");
    CommandPlan finding = shell("exit 1", m_folder.path());
    finding.no_is_an_answer = true;
    EXPECT_EQ(ended(runs, *runs.begin(finding)).state, RunState::done);

    CommandRuns none{"/nowhere/program", ignore};
    EXPECT_EQ(ended(none, *none.begin(shell("", m_folder.path()))).state, RunState::failed);
    EXPECT_EQ(ended(runs, *runs.begin(shell("true", m_folder / "missing"))).state, RunState::failed);
}

TEST_F(Commands, TellHowFarTheyAre)
{
    std::mutex mutex;
    std::vector<double> shares;
    CommandRuns runs{"/bin/sh", [&](CommandRun const& run) {
                         std::scoped_lock const lock{mutex};
                         if (run.what == "rendering")
                             shares.push_back(run.share);
                     }};
    ended(runs,
          *runs.begin(shell("sleep 0.3; for n in 1 2 3; do echo 0.${n}000 rendering >&$TABARD_PROGRESS; sleep 0.3; "
                            "done; echo nonsense >&3; echo 7 rendering >&3",
                            m_folder.path())));
    EXPECT_THAT(shares, testing::ElementsAre(0.1, 0.2, 0.3));
}

TEST_F(Commands, WriteAsMuchAsTheyLikeWithoutWaitingOrFillingTheMemory)
{
    CommandRuns runs{"/bin/sh", ignore};
    CommandPlan plan =
        shell("head -c 20000000 /dev/zero >&2; head -c 1000000 /dev/zero; echo end >&2", m_folder.path());
    std::atomic<std::size_t> printed = 0;
    std::atomic<std::size_t> said = 0;
    plan.outcome = [&](CommandEnd const& end) -> Result<CommandOutcome> {
        printed = end.out.size();
        said = end.err.size();
        return CommandOutcome{};
    };
    EXPECT_EQ(ended(runs, *runs.begin(plan)).state, RunState::done);
    EXPECT_EQ(printed, 1'000'000u);
    EXPECT_EQ(said, 65536u);
    EXPECT_EQ(ended(runs, *runs.begin(shell("head -c 70000000 /dev/zero", m_folder.path()))).state, RunState::failed);
}

// What a server has open (a journal, sockets) is not for what it begins; and a signal that its threads wait for is
// free.
TEST_F(Commands, GetNothingOfTheServerButWhatTheyNeed)
{
    sigset_t blocked;
    sigset_t before;
    sigemptyset(&blocked);
    sigaddset(&blocked, SIGINT);
    pthread_sigmask(SIG_BLOCK, &blocked, &before);
    CommandRuns runs{"/bin/sh", ignore};
    CommandPlan plan = shell(
        "ls /proc/self/fd; grep -E 'SigBlk|SigIgn' /proc/self/status; readlink /proc/self/fd/0; pwd", m_folder.path());
    std::string out;
    plan.outcome = [&](CommandEnd const& end) -> Result<CommandOutcome> {
        out = end.out;
        return CommandOutcome{};
    };
    int const open_here = dup2(STDIN_FILENO, 77); // without close-on-exec
    ended(runs, *runs.begin(plan));
    close(open_here);
    pthread_sigmask(SIG_SETMASK, &before, nullptr);
    EXPECT_EQ(out, fmt::format("0\n1\n2\n3\n4\nSigBlk:\t0000000000000000\nSigIgn:\t0000000000000000\n/dev/null\n{}\n",
                               fs::canonical(m_folder.path()).string())); // 4 is the folder that ls reads
}

TEST_F(Commands, TwoHeavyOnesRunAtOnceAndTheOthersWaitInOrder)
{
    CommandRuns runs{"/bin/sh", ignore};
    std::vector<std::string> ids;
    for (int n = 0; n < 5; ++n)
        ids.push_back(*runs.begin(
            shell(fmt::format("touch begun{}; while [ ! -e end{} ]; do sleep 0.02; done", n, n), m_folder.path())));
    auto const is_there = [&](int n) { return fs::exists(m_folder / fmt::format("begun{}", n)); };
    EXPECT_TRUE(eventually([&] { return is_there(0) && is_there(1); }));
    CommandPlan light = shell("true", m_folder.path());
    light.heavy = false;
    EXPECT_EQ(ended(runs, *runs.begin(light)).state, RunState::done);
    EXPECT_EQ(runs.find(ids[3])->what, "waits");
    EXPECT_EQ(runs.find(ids[3])->state, RunState::running);
    EXPECT_FALSE(is_there(2));

    EXPECT_TRUE(runs.cancel(ids[3])); // before its turn
    EXPECT_EQ(ended(runs, ids[3]).state, RunState::cancelled);
    for (int n : {0, 1, 2, 4})
        write_text(m_folder / fmt::format("end{}", n), "");
    for (int n : {0, 1, 2, 4})
        EXPECT_EQ(ended(runs, ids[static_cast<std::size_t>(n)]).state, RunState::done);
    EXPECT_FALSE(is_there(3));
    EXPECT_FALSE(runs.cancel("99"));
}

TEST_F(Commands, ThatDoNotListenAreEndedByForce)
{
    CommandRuns runs{"/bin/sh", ignore};
    std::string const id =
        *runs.begin(shell("trap '' INT; touch begun; while :; do sleep 0.05; done", m_folder.path()));
    ASSERT_TRUE(eventually([&] { return fs::exists(m_folder / "begun"); }));
    auto const asked = std::chrono::steady_clock::now();
    EXPECT_TRUE(runs.cancel(id));
    EXPECT_EQ(ended(runs, id).state, RunState::cancelled);
    EXPECT_GT(std::chrono::steady_clock::now() - asked, 4s); // it had five seconds
}

bool is_alive(pid_t pid) { return kill(pid, 0) == 0; }

pid_t pid_in(fs::path const& file) { return std::stoi(read_text(file)); }

TEST_F(Commands, EndWithTheirServer)
{
    auto const begin_some = [this](CommandRuns& runs) {
        ASSERT_TRUE(runs.begin(shell("echo $$ > polite; exec sleep 60", m_folder.path())));
        ASSERT_TRUE(
            runs.begin(shell("trap '' TERM INT; echo $$ > deaf; while :; do sleep 0.05; done", m_folder.path())));
        ASSERT_TRUE(runs.begin(shell("touch never", m_folder.path())));
        ASSERT_TRUE(eventually([&] {
            return fs::exists(m_folder / "deaf") && fs::exists(m_folder / "polite") &&
                   !read_text(m_folder / "deaf").empty() && !read_text(m_folder / "polite").empty();
        }));
    };
    auto const asked = [&] {
        CommandRuns runs{"/bin/sh", ignore};
        begin_some(runs);
        return std::chrono::steady_clock::now();
    }();
    EXPECT_LT(std::chrono::steady_clock::now() - asked, 3s);
    EXPECT_FALSE(is_alive(pid_in(m_folder / "polite")));
    EXPECT_FALSE(is_alive(pid_in(m_folder / "deaf")));
    EXPECT_FALSE(fs::exists(m_folder / "never"));
}

// prctl(2), PR_SET_PDEATHSIG: sent when the parent is gone, however it went.
TEST_F(Commands, EndWithAServerThatIsKilled)
{
    pid_t const server = fork();
    if (server == 0) {
        CommandRuns runs{"/bin/sh", ignore};
        (void)runs.begin(shell("echo $$ > child; exec sleep 60", m_folder.path()));
        std::this_thread::sleep_for(60s);
        _exit(0);
    }
    ASSERT_TRUE(eventually([&] { return fs::exists(m_folder / "child") && !read_text(m_folder / "child").empty(); }));
    pid_t const child = pid_in(m_folder / "child");
    EXPECT_TRUE(is_alive(child));
    kill(server, SIGKILL);
    waitpid(server, nullptr, 0);
    EXPECT_TRUE(eventually([&] {
        return !is_alive(child) || read_text(fmt::format("/proc/{}/stat", child)).find(") Z") != std::string::npos;
    }));
}

TEST_F(Commands, AreForgottenFiftyLaterAndNeverWhileTheyRun)
{
    CommandRuns runs{"/bin/true", ignore};
    CommandPlan plan = shell("", m_folder.path());
    plan.heavy = false;
    for (int n = 0; n < 60; ++n)
        ended(runs, *runs.begin(plan));
    EXPECT_LE(runs.list().size(), 51u);
    EXPECT_EQ(runs.list().back().id, "60");
    EXPECT_FALSE(runs.find("1"));
}

TEST_F(Commands, ACancelledRenderLeavesTheOldFilmAndNoHalfOne)
{
    setenv("XDG_CACHE_HOME", (m_folder / "cache").c_str(), 1);
    tests::make_footage(m_folder / "in.mp4", "testsrc2=s=1280x720:r=25:d=20",
                        {"-pix_fmt", "yuv420p", "-preset", "ultrafast", "-g", "25"});
    write_text(m_folder / "lesson.json",
               R"({"tabard": 1, "title": "Lantern on the Quay", "footage": "in.mp4", "key": "C",
 "sections": [{"name": "Verse", "from": "0:00", "to": "0:20", "show": [{"chord": "C", "from": "0:00"}]}]})");
    write_text(m_folder / "film.mp4", "the old film");
    CommandRuns runs{TABARD_PROGRAM, ignore};
    CommandPlan plan;
    plan.arguments = {"render", "lesson.json", "--no-cache", "--force", "-o", "film.mp4"};
    plan.folder = m_folder.path();
    std::string const id = *runs.begin(plan);
    ASSERT_TRUE(eventually([&] { return runs.find(id)->share > 0.02 && runs.find(id)->what == "rendering"; }))
        << runs.find(id)->what;
    EXPECT_TRUE(runs.cancel(id));
    CommandRun const run = ended(runs, id);
    EXPECT_EQ(run.state, RunState::cancelled);
    EXPECT_THAT(run.made, IsEmpty());
    EXPECT_EQ(read_text(m_folder / "film.mp4"), "the old film");
    std::vector<std::string> left;
    for (auto const& entry : fs::directory_iterator(m_folder.path()))
        left.push_back(entry.path().filename());
    EXPECT_THAT(left, Each(testing::AnyOf("in.mp4", "lesson.json", "film.mp4", "cache")));
    unsetenv("XDG_CACHE_HOME");
}

} // namespace
} // namespace tabard::pipeline
