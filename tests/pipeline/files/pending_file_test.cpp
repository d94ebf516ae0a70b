#include "pipeline/files/pending_file.h"
#include "tests/support/run_program.h"

#include <fstream>

#include <gtest/gtest.h>
#include <sys/wait.h>
#include <unistd.h>

namespace tabard::pipeline {
namespace {

namespace fs = std::filesystem;
using tests::TemporaryFolder;

std::vector<std::string> names_in(fs::path const& folder)
{
    std::vector<std::string> names;
    for (auto const& entry : fs::directory_iterator(folder))
        names.push_back(entry.path().filename().string());
    std::sort(names.begin(), names.end());
    return names;
}

TEST(PendingFile, IsNotThereUntilItIsWhole)
{
    TemporaryFolder const folder;
    {
        auto file = PendingFile::create(folder / "film.mp4", Existing::keep, {});
        ASSERT_TRUE(file);
        EXPECT_EQ(file->path().extension(), ".mp4");
        tests::write_text(file->path(), "whole");
        EXPECT_FALSE(fs::exists(folder / "film.mp4"));
        ASSERT_TRUE(file->commit());
    }
    EXPECT_EQ(names_in(folder.path()), std::vector<std::string>{"film.mp4"});
    EXPECT_EQ(tests::read_text(folder / "film.mp4"), "whole");
}

TEST(PendingFile, LeavesNothingWhenTheWorkEndsEarly)
{
    TemporaryFolder const folder;
    ASSERT_TRUE(PendingFile::create(folder / "film.mp4", Existing::keep, {}));
    EXPECT_TRUE(names_in(folder.path()).empty());
}

TEST(PendingFile, KeepsAnExistingFileUnlessItMayBeReplaced)
{
    TemporaryFolder const folder;
    tests::write_text(folder / "film.mp4", "old");
    auto const refused = PendingFile::create(folder / "film.mp4", Existing::keep, {});
    ASSERT_FALSE(refused);
    EXPECT_EQ(refused.error().kind, ErrorKind::invalid_input);
    EXPECT_NE(refused.error().what.find("--force"), std::string::npos);

    auto allowed = PendingFile::create(folder / "film.mp4", Existing::replace, {});
    ASSERT_TRUE(allowed);
    EXPECT_EQ(tests::read_text(folder / "film.mp4"), "old");
    tests::write_text(allowed->path(), "new");
    ASSERT_TRUE(allowed->commit());
    EXPECT_EQ(tests::read_text(folder / "film.mp4"), "new");
    EXPECT_EQ(names_in(folder.path()).size(), 1u);
}

TEST(PendingFile, DoesNotReplaceWhatAppearedWhileItWasWritten)
{
    TemporaryFolder const folder;
    auto file = PendingFile::create(folder / "film.mp4", Existing::keep, {});
    ASSERT_TRUE(file);
    tests::write_text(folder / "film.mp4", "somebody else's");
    EXPECT_FALSE(file->commit());
    EXPECT_EQ(tests::read_text(folder / "film.mp4"), "somebody else's");
}

TEST(PendingFile, NeverTakesAnInputForATargetUnderWhateverName)
{
    TemporaryFolder const folder;
    tests::write_text(folder / "footage.mp4", "filmed");
    fs::create_symlink(folder / "footage.mp4", folder / "link.mp4");
    fs::create_hard_link(folder / "footage.mp4", folder / "twin.mp4");
    for (char const* name : {"footage.mp4", "link.mp4", "twin.mp4", "../footage.mp4"}) {
        fs::path target = folder / name;
        if (std::string(name).starts_with("..")) {
            fs::create_directory(folder / "sub");
            target = folder / "sub" / name;
        }
        auto const refused = PendingFile::create(target, Existing::replace, {folder / "footage.mp4"});
        ASSERT_FALSE(refused) << name;
        EXPECT_EQ(refused.error().kind, ErrorKind::invalid_input);
    }
    EXPECT_EQ(tests::read_text(folder / "footage.mp4"), "filmed");
}

TEST(PendingFile, SaysThatAFolderIsNotThereOrIsTheTarget)
{
    TemporaryFolder const folder;
    auto const nowhere = PendingFile::create(folder / "missing" / "film.mp4", Existing::keep, {});
    ASSERT_FALSE(nowhere);
    EXPECT_EQ(nowhere.error().kind, ErrorKind::io);
    EXPECT_FALSE(PendingFile::create(folder.path(), Existing::replace, {}));
}

TEST(PendingFile, RemovesWhatAKilledRunLeftButNotWhatARunningOneIsWriting)
{
    TemporaryFolder const folder;
    pid_t const child = ::fork();
    if (child == 0)
        ::_exit(0);
    ::waitpid(child, nullptr, 0);
    std::string const dead = ".film.part-" + std::to_string(child) + ".mp4";
    std::string const alive = ".film.part-" + std::to_string(::getppid()) + ".mp4";
    tests::write_text(folder / dead, "half");
    tests::write_text(folder / alive, "half");
    tests::write_text(folder / ".film.part-notes.mp4", "a person's");
    ASSERT_TRUE(PendingFile::create(folder / "film.mp4", Existing::keep, {}));
    EXPECT_EQ(names_in(folder.path()), (std::vector<std::string>{alive, ".film.part-notes.mp4"}));
}

} // namespace
} // namespace tabard::pipeline
