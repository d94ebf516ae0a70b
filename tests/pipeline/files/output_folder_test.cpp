#include "pipeline/files/made_folder.h"
#include "pipeline/files/output_folder.h"
#include "tests/pipeline/files/names_in.h"
#include "tests/support/run_program.h"

#include <csignal>
#include <filesystem>
#include <string>

#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <sys/wait.h>
#include <unistd.h>

namespace tabard::pipeline {
namespace {

namespace fs = std::filesystem;
using testing::ElementsAre;
using testing::HasSubstr;
using testing::IsEmpty;
using tests::names_in;
using tests::TemporaryFolder;

TEST(OutputFolder, AppearsWithAllItHolds)
{
    TemporaryFolder const folder;
    for (char const* name : {"frames", "more frames/", "empty"}) {
        if (std::string(name) == "empty")
            fs::create_directory(folder / "empty");
        auto frames = OutputFolder::create(folder / name, {});
        ASSERT_TRUE(frames) << frames.error().what;
        ASSERT_TRUE(write_new_file("picture", frames->path() / "1.png"));
        EXPECT_FALSE(write_new_file("another", frames->path() / "1.png"));
        EXPECT_FALSE(fs::exists(folder / name / "1.png"));
        ASSERT_TRUE(frames->commit());
        EXPECT_THAT(names_in(folder / name), ElementsAre("1.png"));
    }
    EXPECT_THAT(names_in(folder.path()), ElementsAre("empty", "frames", "more frames"));
}

TEST(OutputFolder, LeavesNothingWhenTheWorkEndsEarlyOrIsKilled)
{
    TemporaryFolder const folder;
    {
        auto const frames = OutputFolder::create(folder / "frames", {});
        ASSERT_TRUE(write_new_file("picture", frames->path() / "1.png"));
    }
    EXPECT_THAT(names_in(folder.path()), IsEmpty());
    pid_t const child = ::fork();
    if (child == 0) {
        auto const frames = OutputFolder::create(folder / "frames", {});
        static_cast<void>(write_new_file("picture", frames->path() / "1.png"));
        ::kill(::getpid(), SIGKILL);
    }
    ::waitpid(child, nullptr, 0);
    EXPECT_THAT(names_in(folder.path()), testing::SizeIs(1));
    EXPECT_TRUE(OutputFolder::create(folder / "frames/", {}));
    EXPECT_THAT(names_in(folder.path()), IsEmpty());
}

TEST(OutputFolder, TakesTheNameOfNothingThatIsThere)
{
    TemporaryFolder const folder;
    fs::create_directory(folder / "full");
    tests::write_text(folder / "full/letter", "");
    tests::write_text(folder / "file", "");
    EXPECT_THAT(OutputFolder::create(folder / "full", {}).error().what, HasSubstr("is not empty"));
    EXPECT_THAT(OutputFolder::create(folder / "file", {}).error().what, HasSubstr("is no folder"));
    EXPECT_THAT(OutputFolder::create(folder / "none/frames", {}).error().what, HasSubstr("there is no folder"));
    auto late = OutputFolder::create(folder / "late", {});
    ASSERT_TRUE(late);
    fs::create_directory(folder / "late");
    tests::write_text(folder / "late/letter", "");
    EXPECT_FALSE(late->commit());
    EXPECT_THAT(names_in(folder / "late"), ElementsAre("letter"));
}

TEST(OutputFolder, IsKeptFromResultsOfAFileThatChangedMeanwhile)
{
    TemporaryFolder const folder;
    tests::write_text(folder / "in.mp4", "filmed");
    auto frames = OutputFolder::create(folder / "frames", {folder / "in.mp4"});
    ASSERT_TRUE(frames);
    tests::write_text(folder / "in.mp4", "fil");
    EXPECT_FALSE(frames->commit());
    EXPECT_FALSE(fs::exists(folder / "frames"));
}

TEST(MakeFolder, SaysWhereItCannot)
{
    TemporaryFolder const folder;
    EXPECT_TRUE(make_folder(folder / "a/b/"));
    EXPECT_TRUE(fs::is_directory(folder / "a/b"));
    tests::write_text(folder / "file", "");
    EXPECT_THAT(make_folder(folder / "file").error().what, HasSubstr("Not a directory"));
    EXPECT_THAT(make_folder(folder / "file/b").error().what, HasSubstr("cannot make the folder"));
}

TEST(MadeFolder, IsGoneAgainWhereNothingCameIntoIt)
{
    TemporaryFolder const folder;
    EXPECT_TRUE(make_folder(folder / "there"));
    for (char const* name : {"new", "there", "a/b/c/", "there/deep"}) {
        auto const made = MadeFolder::create(folder / name);
        ASSERT_TRUE(made) << made.error().what;
        EXPECT_TRUE(fs::is_directory(folder / name));
    }
    EXPECT_THAT(names_in(folder.path()), ElementsAre("there"));
    EXPECT_THAT(names_in(folder / "there"), IsEmpty());
    {
        auto const made = MadeFolder::create(folder / "a/b");
        ASSERT_TRUE(write_new_file("x", folder / "a/b/x"));
    }
    EXPECT_TRUE(fs::exists(folder / "a/b/x"));
    EXPECT_THAT(MadeFolder::create(folder / "a/b/x/y").error().what, HasSubstr("cannot make the folder"));
}

} // namespace
} // namespace tabard::pipeline
