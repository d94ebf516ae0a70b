#include "pipeline/files/inputs.h"
#include "tests/support/run_program.h"

#include <chrono>
#include <filesystem>
#include <functional>
#include <thread>
#include <utility>
#include <vector>

#include <fcntl.h>
#include <gtest/gtest.h>
#include <sys/stat.h>
#include <unistd.h>

namespace tabard::pipeline {
namespace {

namespace fs = std::filesystem;

class InputFiles : public testing::Test {
protected:
    InputFiles() { tests::write_text(m_file, "0123456789"); }
    tests::TemporaryFolder m_folder;
    fs::path m_file = m_folder / "in.mp4";
};

/// Puts other bytes into the file itself, and its times back to what they were.
void forge(fs::path const& file)
{
    struct stat before {};
    ASSERT_EQ(::stat(file.c_str(), &before), 0);
    tests::write_text(file, "9876543210");
    timespec const times[2] = {before.st_atim, before.st_mtim};
    ASSERT_EQ(::utimensat(AT_FDCWD, file.c_str(), times, 0), 0);
}

TEST_F(InputFiles, AreSeenToChange)
{
    std::vector<std::pair<char const*, std::function<void()>>> const changes{
        {"truncated", [&] { fs::resize_file(m_file, 5); }},
        {"grown", [&] { fs::resize_file(m_file, 50); }},
        {"overwritten", [&] { tests::write_text(m_file, "abcdefghij"); }},
        {"overwritten with its times set back", [&] { forge(m_file); }},
        {"removed", [&] { fs::remove(m_file); }},
        {"replaced by a copy",
         [&] {
             fs::copy_file(m_file, m_folder / "copy");
             fs::rename(m_folder / "copy", m_file);
         }},
        {"turned into a link to another",
         [&] {
             tests::write_text(m_folder / "other", "0123456789");
             fs::remove(m_file);
             fs::create_symlink(m_folder / "other", m_file);
         }},
    };
    for (auto const& [what, change] : changes) {
        SCOPED_TRACE(what);
        fs::remove(m_file);
        tests::write_text(m_file, "0123456789");
        Inputs const inputs{m_file};
        ASSERT_TRUE(inputs.unchanged());
        std::this_thread::sleep_for(std::chrono::milliseconds(20)); // a kernel's clock ticks every 1 to 10 ms
        change();
        auto const unchanged = inputs.unchanged();
        ASSERT_FALSE(unchanged);
        EXPECT_EQ(unchanged.error().what,
                  "'" + m_file.string() + "' changed while it was read; nothing was written, run it again");
    }
}

TEST_F(InputFiles, MayBeReadLinkedAndGivenAnotherMode)
{
    Inputs const inputs{m_file};
    std::this_thread::sleep_for(std::chrono::milliseconds(20));
    EXPECT_EQ(tests::read_text(m_file), "0123456789");
    fs::create_hard_link(m_file, m_folder / "twin.mp4");
    EXPECT_EQ(::chmod(m_file.c_str(), 0640), 0);
    EXPECT_TRUE(inputs.unchanged());
    EXPECT_TRUE(inputs.hold(m_folder / "twin.mp4"));
}

TEST_F(InputFiles, CountAsTheyWereAtFirstSight)
{
    Inputs inputs{m_file};
    Inputs more;
    fs::resize_file(m_file, 5);
    inputs.add(m_file);
    more.add(m_file);
    inputs.add(more);
    EXPECT_FALSE(inputs.unchanged());
    EXPECT_TRUE(more.unchanged());
}

TEST_F(InputFiles, AreNotThoseThatNobodyNamed)
{
    Inputs const inputs{"", m_file, ""};
    EXPECT_FALSE(inputs.hold(""));
    EXPECT_FALSE(inputs.hold("."));
    EXPECT_TRUE(inputs.hold(m_file));
}

TEST_F(InputFiles, AreFoundByWhateverHasTheirNameNow)
{
    Inputs const inputs{m_file};
    tests::write_text(m_folder / "saved by an editor", "0123456789");
    fs::create_hard_link(m_folder / "saved by an editor", m_folder / "twin.mp4");
    fs::rename(m_folder / "saved by an editor", m_file);
    EXPECT_TRUE(inputs.hold(m_folder / "twin.mp4"));
    EXPECT_FALSE(inputs.hold(m_folder / "film.mp4"));
}

} // namespace
} // namespace tabard::pipeline
