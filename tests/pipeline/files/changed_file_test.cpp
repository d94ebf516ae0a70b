#include "pipeline/files/changed_file.h"
#include "tests/support/run_program.h"

#include <filesystem>
#include <string>

#include <gtest/gtest.h>

namespace tabard::pipeline {
namespace {

namespace fs = std::filesystem;
using tests::read_text;
using tests::write_text;

constexpr std::size_t kMost = 1000;

Inputs seen(fs::path const& file)
{
    Inputs inputs;
    inputs.add(file);
    return inputs;
}

TEST(ChangedFile, TheVersionBeforeComesBackAndGoesAgain)
{
    tests::TemporaryFolder const folder;
    fs::path const file = folder / "lesson.json";
    write_text(file, "as it was");
    fs::permissions(file, fs::perms::owner_read | fs::perms::owner_write);
    ASSERT_TRUE(change_in_place(file, "changed", seen(file)));
    EXPECT_EQ(read_text(file), "changed");
    EXPECT_EQ(read_text(version_before(file)), "as it was");
    EXPECT_EQ(fs::status(version_before(file)).permissions(), fs::status(file).permissions());
    ASSERT_TRUE(undo_change(file, kMost));
    EXPECT_EQ(read_text(file), "as it was");
    ASSERT_TRUE(undo_change(file, kMost));
    EXPECT_EQ(read_text(file), "changed");
}

TEST(ChangedFile, ACommandThatIsRunTwiceDoesNotHideWhatWasThereFirst)
{
    tests::TemporaryFolder const folder;
    fs::path const file = folder / "lesson.json";
    write_text(file, "as it was");
    EXPECT_TRUE(*change_in_place(file, "changed", seen(file)));
    EXPECT_FALSE(*change_in_place(file, "changed", seen(file)));
    EXPECT_EQ(read_text(version_before(file)), "as it was");
}

TEST(ChangedFile, WhatWasEditedAfterTheChangeIsNotLost)
{
    tests::TemporaryFolder const folder;
    fs::path const file = folder / "lesson.json";
    write_text(file, "as it was");
    ASSERT_TRUE(change_in_place(file, "changed", seen(file)));
    write_text(file, "changed, and edited by hand");
    ASSERT_TRUE(undo_change(file, kMost));
    ASSERT_TRUE(undo_change(file, kMost));
    EXPECT_EQ(read_text(file), "changed, and edited by hand");
}

TEST(ChangedFile, AFileThatSomebodyElseChangedMeanwhileIsLeftAlone)
{
    tests::TemporaryFolder const folder;
    fs::path const file = folder / "lesson.json";
    write_text(file, "as it was");
    auto const inputs = seen(file);
    write_text(file, "edited in another program");
    EXPECT_FALSE(change_in_place(file, "changed", inputs));
    EXPECT_EQ(read_text(file), "edited in another program");
    EXPECT_FALSE(fs::exists(version_before(file)));
}

TEST(ChangedFile, ThereIsNothingToUndoBeforeTheFirstChange)
{
    tests::TemporaryFolder const folder;
    fs::path const file = folder / "lesson.json";
    write_text(file, "as it was");
    auto const undone = undo_change(file, kMost);
    ASSERT_FALSE(undone);
    EXPECT_EQ(undone.error().kind, ErrorKind::not_found);
    EXPECT_EQ(read_text(file), "as it was");
}

TEST(ChangedFile, TheFileBehindALinkIsChanged)
{
    tests::TemporaryFolder const folder;
    fs::create_directory(folder / "deep");
    write_text(folder / "deep" / "lesson.json", "as it was");
    fs::create_symlink("deep/lesson.json", folder / "link.json");
    ASSERT_TRUE(change_in_place(folder / "link.json", "changed", seen(folder / "link.json")));
    EXPECT_TRUE(fs::is_symlink(folder / "link.json"));
    EXPECT_EQ(read_text(folder / "deep" / "lesson.json"), "changed");
    ASSERT_TRUE(undo_change(folder / "link.json", kMost));
    EXPECT_EQ(read_text(folder / "deep" / "lesson.json"), "as it was");
}

} // namespace
} // namespace tabard::pipeline
