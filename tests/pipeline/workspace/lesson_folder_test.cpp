#include "pipeline/workspace/lesson_folder.h"
#include "tests/support/run_program.h"

#include <string>

#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace tabard::pipeline {
namespace {

namespace fs = std::filesystem;
using testing::ElementsAre;

TEST(LessonFolder, HoldsTheCueFilesOfItsFoldersInOrder)
{
    tests::TemporaryFolder const folder;
    fs::create_directories(folder / "second week.json");
    fs::create_directories(folder / "first");
    tests::write_text(folder / "second week.json/b.json", "{\"tabard\": 1}");
    tests::write_text(folder / "first/a.json", "{\r\n\t\"title\": \"A\",\r\n\t\"tabard\"\t:\r\n 1");
    tests::write_text(folder / "first/a.txt", "{\"tabard\": 1}");
    tests::write_text(folder / "first/theme.json", "{\"tabard_theme\": 1}");
    tests::write_text(folder / "first/note.json", "{\"title\": \"tabard\"}");
    tests::write_text(folder / "first/word.json", "{\"tabard\": \"1\"}");
    tests::write_text(folder / "first/end.json", "{\"tabard\":");
    tests::write_text(folder / "first/key.json", "\"tabard\"");
    EXPECT_THAT(*lessons_in(folder.path()), ElementsAre(folder / "first/a.json", folder / "second week.json/b.json"));
}

TEST(LessonFolder, HoldsCueFilesOfLaterVersionsToo)
{
    tests::TemporaryFolder const folder;
    for (char const sign : {'/', '0', '1', '9', ':', '-'})
        tests::write_text(folder / (std::to_string(sign) + ".json"), std::string("{\"tabard\": ") + sign + "}");
    EXPECT_THAT(*lessons_in(folder.path()), ElementsAre(folder / "48.json", folder / "49.json", folder / "57.json"));
}

// Left out in silence, its film would not be missed.
TEST(LessonFolder, HoldsWhatCannotBeRead)
{
    tests::TemporaryFolder const folder;
    fs::create_symlink("nowhere", folder / "gone.json");
    EXPECT_THAT(*lessons_in(folder.path()), ElementsAre(folder / "gone.json"));
    auto const missing = lessons_in(folder / "no folder");
    ASSERT_FALSE(missing);
    EXPECT_EQ(missing.error().kind, ErrorKind::not_found);
}

} // namespace
} // namespace tabard::pipeline
