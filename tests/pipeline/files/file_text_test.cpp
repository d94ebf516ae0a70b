#include "pipeline/files/file_text.h"
#include "tests/support/run_program.h"

#include <array>
#include <filesystem>
#include <string>
#include <vector>

#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <sys/stat.h>

namespace tabard::pipeline {
namespace {

namespace fs = std::filesystem;
using testing::HasSubstr;

TEST(ReadFileText, GivesTheBytesOfAFileUpToTheMost)
{
    tests::TemporaryFolder const folder;
    std::string const text = std::string(70000, 'a') + '\0' + "\xff";
    tests::write_text(folder / "text", text);
    EXPECT_EQ(read_file_text(folder / "text", text.size()).value(), text);
    auto const refused = read_file_text(folder / "text", text.size() - 1);
    ASSERT_FALSE(refused);
    EXPECT_EQ(refused.error().kind, ErrorKind::invalid_input);
    EXPECT_THAT(refused.error().what, HasSubstr("too large: a file of this kind has at most 68 kB"));
    tests::write_text(folder / "empty", "");
    EXPECT_EQ(read_file_text(folder / "empty", 10).value(), "");
}

// Their sizes say 0: only counting what comes ends the reading.
TEST(ReadFileText, CountsWhatComesNotWhatTheSizeSays)
{
    EXPECT_THAT(read_file_text("/proc/self/status", 1 << 20).value(), HasSubstr("Name:"));
    EXPECT_FALSE(read_file_text("/proc/self/status", 10));
}

TEST(ReadFileText, RefusesWhatIsNoFileAndNeverWaits)
{
    tests::TemporaryFolder const folder;
    ASSERT_EQ(::mkfifo((folder / "pipe").c_str(), 0600), 0);
    fs::create_symlink(folder / "loop", folder / "loop");
    struct Case {
        fs::path path;
        char const* says;
        ErrorKind kind;
    };
    for (auto const& [path, says, kind] : std::vector<Case>{
             {folder.path(), "it is a folder", ErrorKind::invalid_input},
             {folder / "pipe", "a pipe or a device", ErrorKind::invalid_input},
             {"/dev/zero", "a pipe or a device", ErrorKind::invalid_input},
             {folder / "loop", "Too many levels", ErrorKind::invalid_input},
             {folder / std::string(300, 'n'), "too long", ErrorKind::invalid_input},
             {folder / "none", "No such file", ErrorKind::not_found},
         }) {
        auto const refused = read_file_text(path, 100);
        ASSERT_FALSE(refused) << path;
        EXPECT_THAT(refused.error().what, HasSubstr(says));
        EXPECT_EQ(refused.error().kind, kind) << path;
        EXPECT_FALSE(sample_file(path, 10)) << path;
    }
}

// The first page of a process's memory is mapped nowhere: its file opens, and reading it fails with EIO (proc(5)).
TEST(ReadFileText, SaysWhereReadingFails)
{
    auto const failed = read_file_text("/proc/self/mem", 100);
    ASSERT_FALSE(failed);
    EXPECT_EQ(failed.error().kind, ErrorKind::io);
    EXPECT_EQ(failed.error().what, "cannot read '/proc/self/mem': Input/output error");
}

TEST(SampleFile, TakesTheStartTheMiddleAndTheEnd)
{
    tests::TemporaryFolder const folder;
    tests::write_text(folder / "long", "abcdefghij");
    auto const sample = sample_file(folder / "long", 2);
    ASSERT_TRUE(sample);
    EXPECT_EQ(sample->size, 10);
    EXPECT_EQ(sample->stretches, (std::array<std::string, 3>{"ab", "ef", "ij"}));
    EXPECT_EQ(sample_file(folder / "long", 100)->stretches[1], "abcdefghij");
}

} // namespace
} // namespace tabard::pipeline
