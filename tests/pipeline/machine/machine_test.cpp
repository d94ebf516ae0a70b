// What the kernel's files grant, read from trees of files as the kernel's documentation (cgroup-v2.rst, cgroup-v1,
// proc(5)) shows them.
#include "pipeline/machine/memory.h"
#include "pipeline/machine/processors.h"
#include "tests/support/run_program.h"

#include <filesystem>
#include <fstream>
#include <string>

#include <gtest/gtest.h>
#include <sched.h>

namespace tabard::pipeline {
namespace {

namespace fs = std::filesystem;

class FakeSystem {
public:
    void file(std::string const& path, std::string const& text) const
    {
        fs::create_directories((m_folder / path).parent_path());
        std::ofstream(m_folder / path) << text;
    }
    fs::path root() const { return m_folder / ""; }

private:
    tests::TemporaryFolder m_folder;
};

/// This process may run on one processor while it lives.
class OnOneProcessor {
public:
    OnOneProcessor()
    {
        sched_getaffinity(0, sizeof m_before, &m_before);
        cpu_set_t one;
        CPU_ZERO(&one);
        for (int i = 0; i < CPU_SETSIZE && CPU_COUNT(&one) == 0; ++i)
            if (CPU_ISSET(i, &m_before))
                CPU_SET(i, &one);
        sched_setaffinity(0, sizeof one, &one);
    }
    ~OnOneProcessor() { sched_setaffinity(0, sizeof m_before, &m_before); }
    int before() const { return CPU_COUNT(&m_before); }

private:
    cpu_set_t m_before{};
};

TEST(Processors, AreThoseTheProcessMayRunOn)
{
    FakeSystem const system; // without control groups
    int const all = usable_processors(system.root());
    OnOneProcessor const one;
    EXPECT_EQ(all, one.before());
    EXPECT_EQ(usable_processors(system.root()), 1);
}

TEST(Processors, AreNoMoreThanAControlGroupGrantsTime)
{
    FakeSystem const system;
    system.file("proc/self/cgroup", "0::/work/job\n");
    system.file("sys/fs/cgroup/work/job/cpu.max", "max 100000\n");
    int const all = usable_processors(system.root());
    EXPECT_GE(all, 1);
    system.file("sys/fs/cgroup/work/cpu.max", "50000 100000\n"); // half a processor, one level up
    EXPECT_EQ(usable_processors(system.root()), 1);
    system.file("sys/fs/cgroup/work/cpu.max", "400000000 100000\n"); // more than there are
    EXPECT_EQ(usable_processors(system.root()), all);
}

TEST(Processors, AreCountedInAContainerThatSeesTheHostsPath)
{
    FakeSystem const system;
    system.file("proc/self/cgroup", "12:cpu,cpuacct:/docker/0123\n0::/\n");
    system.file("sys/fs/cgroup/cpu,cpuacct/cpu.cfs_quota_us", "100000\n");
    system.file("sys/fs/cgroup/cpu,cpuacct/cpu.cfs_period_us", "100000\n");
    EXPECT_EQ(usable_processors(system.root()), 1);
}

TEST(Processors, AreAtLeastOneWhateverTheFilesSay)
{
    FakeSystem const system;
    system.file("proc/self/cgroup", "nonsense\n0::/a\n:::\n");
    system.file("sys/fs/cgroup/a/cpu.max", "-1 0\n");
    EXPECT_GE(usable_processors(system.root()), 1);
    system.file("sys/fs/cgroup/a/cpu.max", "1 100000\n");
    EXPECT_EQ(usable_processors(system.root()), 1);
}

TEST(Memory, IsWhatTheSystemHasLeft)
{
    FakeSystem const system;
    EXPECT_EQ(available_memory(system.root()), std::nullopt);
    system.file("proc/meminfo", "MemTotal:  8000 kB\nMemFree:  100 kB\nMemAvailable:    4000 kB\n");
    EXPECT_EQ(available_memory(system.root()), 4'096'000);
}

TEST(Memory, IsNoMoreThanAControlGroupLeaves)
{
    FakeSystem const system;
    system.file("proc/meminfo", "MemAvailable:    4000 kB\n");
    system.file("proc/self/cgroup", "0::/job\n");
    system.file("sys/fs/cgroup/job/memory.max", "3000000\n");
    system.file("sys/fs/cgroup/job/memory.current", "2500000\n");
    EXPECT_EQ(available_memory(system.root()), 500'000);
    // What the kernel keeps of files goes when it is needed.
    system.file("sys/fs/cgroup/job/memory.stat", "anon 100\nfile 1500000\ninactive_file 1000000\n");
    EXPECT_EQ(available_memory(system.root()), 1'500'000);
    system.file("sys/fs/cgroup/job/memory.max", "max\n");
    EXPECT_EQ(available_memory(system.root()), 4'096'000);
}

TEST(Memory, IsCountedInGroupsOfTheFirstVersionToo)
{
    FakeSystem const system;
    system.file("proc/meminfo", "MemAvailable:    4000 kB\n");
    system.file("proc/self/cgroup", "9:memory:/lxc/a\n");
    system.file("sys/fs/cgroup/memory/lxc/a/memory.limit_in_bytes",
                "9223372036854771712\n"); // none, as it is written there
    system.file("sys/fs/cgroup/memory/lxc/a/memory.usage_in_bytes", "1000\n");
    EXPECT_EQ(available_memory(system.root()), 4'096'000);
    system.file("sys/fs/cgroup/memory/lxc/memory.limit_in_bytes", "2000000\n");
    system.file("sys/fs/cgroup/memory/lxc/memory.usage_in_bytes", "2500000\n");
    system.file("sys/fs/cgroup/memory/lxc/memory.stat", "inactive_file 1\ntotal_inactive_file 700000\n");
    EXPECT_EQ(available_memory(system.root()), 200'000);
}

} // namespace
} // namespace tabard::pipeline
