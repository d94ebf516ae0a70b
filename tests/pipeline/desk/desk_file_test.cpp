#include "pipeline/desk/file/desk_file.h"
#include "pipeline/desk/view/lesson_view.h"
#include "tests/support/run_program.h"

#include <chrono>
#include <set>
#include <thread>

#include <fmt/format.h>
#include <gtest/gtest.h>

namespace tabard::pipeline {
namespace {

using tests::read_text;
using tests::write_text;

std::string text(std::string_view title) { return fmt::format("{{\"tabard\": 1, \"title\": \"{}\"}}\n", title); }

class FileOfADesk : public testing::Test {
protected:
    void SetUp() override { write_text(m_path, text("A")); }
    DeskFile open() const
    {
        auto opened = DeskFile::open(m_path, m_folder / "state");
        EXPECT_TRUE(opened) << (opened ? "" : opened.error().what);
        return *std::move(opened);
    }
    std::string on_disk() const { return read_text(m_path); }
    /// As an editor does that puts a new file in place.
    void write_elsewhere(std::string const& what) const
    {
        write_text(m_folder / "new", what);
        std::filesystem::rename(m_folder / "new", m_path);
    }

    tests::TemporaryFolder m_folder;
    std::filesystem::path m_path = m_folder / "lesson.json";
    bool const m_made = std::filesystem::create_directory(m_folder / "state");
};

TEST_F(FileOfADesk, UndoesAndDoesAgainAfterARestart)
{
    {
        DeskFile file = open();
        EXPECT_EQ(file.undo(), "");
        ASSERT_TRUE(file.save(text("B"), "Title B", 0));
        ASSERT_TRUE(file.save(text("C"), "Title C", 0));
    }
    {
        DeskFile file = open();
        EXPECT_EQ(file.undo(), "Title C");
        EXPECT_EQ(*file.save_undone(0), "Title C");
        EXPECT_EQ(on_disk(), text("B"));
    }
    {
        DeskFile file = open();
        EXPECT_EQ(file.redo(), "Title C");
        EXPECT_EQ(*file.save_undone(0), "Title B");
        EXPECT_EQ(on_disk(), text("A"));
        EXPECT_EQ(file.undo(), "");
        EXPECT_FALSE(file.save_undone(0));
        EXPECT_EQ(*file.save_redone(0), "Title B");
        EXPECT_EQ(*file.save_redone(0), "Title C");
        EXPECT_FALSE(file.save_redone(0));
        EXPECT_EQ(on_disk(), text("C"));
        ASSERT_TRUE(file.save_undone(0));
        ASSERT_TRUE(file.save(text("D"), "Title D", 0));
    }
    DeskFile const file = open();
    EXPECT_EQ(file.redo(), ""); // another way was taken
    EXPECT_EQ(file.undo(), "Title D");
}

TEST_F(FileOfADesk, IsNeverWrittenOverAnotherProgramsText)
{
    DeskFile file = open();
    write_elsewhere(text("Theirs"));
    EXPECT_FALSE(file.save(text("Mine"), "Title", 0));
    EXPECT_EQ(on_disk(), text("Theirs"));
    EXPECT_EQ(*file.elsewhere(), text("Theirs"));
    EXPECT_EQ(file.look(), DeskFile::Seen::changed);
    EXPECT_EQ(file.text(), text("Theirs"));
    EXPECT_EQ(file.look(), DeskFile::Seen::same);
    ASSERT_TRUE(file.save(text("Mine"), "Title", 0));
    EXPECT_EQ(on_disk(), text("Mine"));
    EXPECT_EQ(*file.save_undone(0), "Title");
    EXPECT_EQ(on_disk(), text("Theirs"));
}

TEST_F(FileOfADesk, DoesNotUndoWhatAnotherProgramHasWrittenOver)
{
    DeskFile file = open();
    ASSERT_TRUE(file.save(text("B"), "Title B", 0));
    write_elsewhere(text("Theirs"));
    EXPECT_EQ(file.look(), DeskFile::Seen::changed);
    EXPECT_EQ(file.undo(), "");
    EXPECT_FALSE(file.save_undone(0));
    EXPECT_EQ(on_disk(), text("Theirs"));
    // Nor is what the desk had lost.
    ASSERT_FALSE(file.versions().list().empty());
    EXPECT_EQ(*file.versions().text(file.versions().list().front().id), text("B"));
}

TEST_F(FileOfADesk, TakesTheNotedChangeThatAKilledDeskDidNotWrite)
{
    std::string const noted = [&] {
        DeskFile file = open();
        EXPECT_TRUE(file.save(text("B"), "Title B", 0));
        EXPECT_TRUE(file.save(text("C"), "Title C", 0));
        return read_text(m_folder / "state/journal");
    }();
    std::string const written = noted.substr(0, noted.rfind("1 ")); // without the last mark
    write_text(m_folder / "state/journal", written);
    write_elsewhere(text("B"));
    {
        DeskFile const file = open();
        EXPECT_EQ(file.text(), text("C"));
        EXPECT_EQ(on_disk(), text("C"));
        EXPECT_EQ(file.undo(), "Title C");
    }
    EXPECT_EQ(open().text(), text("C")); // once
}

TEST_F(FileOfADesk, DoesNotRepeatAChangeThatSomebodyTookBackElsewhere)
{
    {
        DeskFile file = open();
        ASSERT_TRUE(file.save(text("B"), "Title B", 0));
    }
    write_elsewhere(text("A"));
    DeskFile const file = open();
    EXPECT_EQ(file.text(), text("A"));
    EXPECT_EQ(on_disk(), text("A"));
}

/// Kills at each write are tried with the program itself; here the journal is cut at every ninth byte, with the file as
/// it was before, and as it was after the last change.
TEST_F(FileOfADesk, IsSoundWhereverTheJournalEnds)
{
    {
        DeskFile file = open();
        ASSERT_TRUE(file.save(text("B"), "Title B", 0));
        ASSERT_TRUE(file.save(text("C"), "Title C", 0));
    }
    std::string const whole = read_text(m_folder / "state/journal");
    for (std::size_t size = 0; size <= whole.size(); size += 9)
        for (std::string const& there : {text("A"), text("B"), text("C")}) {
            SCOPED_TRACE(fmt::format("{} bytes, {}", size, there));
            write_text(m_folder / "state/journal", whole.substr(0, size));
            write_text(m_path, there);
            DeskFile file = open();
            ASSERT_EQ(file.text(), on_disk());
            ASSERT_TRUE(on_disk() == text("A") || on_disk() == text("B") || on_disk() == text("C"));
            ASSERT_GE(on_disk(), there); // never back
            std::string const known = file.text();
            if (!file.undo().empty()) {
                ASSERT_TRUE(file.save_undone(0));
                ASSERT_EQ(*file.save_redone(0), known == text("B") ? "Title B" : "Title C");
                ASSERT_EQ(on_disk(), known);
            }
        }
}

TEST_F(FileOfADesk, KeepsTheLastTenVersions)
{
    DeskFile file = open();
    for (int i = 1; i <= 15; ++i)
        ASSERT_TRUE(file.save(text(fmt::format("{}", i)), "Title", i * 601)); // more than ten minutes between them
    auto const versions = file.versions().list();
    ASSERT_EQ(versions.size(), 10u);
    for (int i = 0; i < 10; ++i) // the newest first: the text before the fifteenth change is the fourteenth
        EXPECT_EQ(*file.versions().text(versions[static_cast<std::size_t>(i)].id), text(fmt::format("{}", 14 - i)));
    EXPECT_FALSE(file.versions().text("../journal"));
    EXPECT_FALSE(file.versions().text("00000001")); // gone
}

TEST_F(FileOfADesk, KeepsAVersionAtTheFirstChangeAndThenEveryTenMinutes)
{
    DeskFile file = open();
    ASSERT_TRUE(file.save(text("B"), "Title B", 1000));
    ASSERT_TRUE(file.save(text("C"), "Title C", 1300));
    EXPECT_EQ(file.versions().list().size(), 1u);
    ASSERT_TRUE(file.save(text("D"), "Title D", 1600));
    EXPECT_EQ(file.versions().list().size(), 2u);
    std::string const other = "{\"tabard\": 1, \"note\": \"" + std::string(400, 'x') + "\"}\n";
    ASSERT_TRUE(file.save(other, "Note", 1601));
    EXPECT_EQ(file.versions().list().size(), 2u); // of a small file nothing much was replaced
    ASSERT_TRUE(file.save(text("E"), "Title E", 1602));
    ASSERT_EQ(file.versions().list().size(), 3u);
    EXPECT_EQ(*file.versions().text(file.versions().list().front().id), other);
}

TEST_F(FileOfADesk, IsWrittenAgainWhereItWasRemoved)
{
    DeskFile file = open();
    std::filesystem::remove(m_path);
    EXPECT_EQ(file.look(), DeskFile::Seen::lost);
    EXPECT_EQ(file.text(), text("A"));
    EXPECT_EQ(*file.elsewhere(), "");
    EXPECT_FALSE(file.save(text("B"), "Title", 0));
    EXPECT_FALSE(std::filesystem::exists(m_path));
    ASSERT_TRUE(file.save_over(text("B"), "", "Keep mine", 0));
    EXPECT_EQ(on_disk(), text("B"));
    EXPECT_EQ(file.look(), DeskFile::Seen::same);
    EXPECT_EQ(*file.save_undone(0), "Keep mine");
    EXPECT_EQ(on_disk(), text("A")); // and not nothing
}

TEST_F(FileOfADesk, KeepsItsModeAndTheLinkThatLeadsToIt)
{
    std::filesystem::permissions(m_path, std::filesystem::perms{0640});
    std::filesystem::create_directory(m_folder / "elsewhere");
    std::filesystem::rename(m_path, m_folder / "elsewhere/real.json");
    std::filesystem::create_symlink("elsewhere/real.json", m_path);
    DeskFile file = open();
    ASSERT_TRUE(file.save(text("B"), "Title", 0));
    EXPECT_TRUE(std::filesystem::is_symlink(m_path));
    EXPECT_EQ(read_text(m_folder / "elsewhere/real.json"), text("B"));
    EXPECT_EQ(std::filesystem::status(m_path).permissions(), std::filesystem::perms{0640});
}

TEST_F(FileOfADesk, IsNotTakenWhileAnotherProgramIsStillWritingIt)
{
    DeskFile file = open();
    write_text(m_path, "{\"tabard\": 1, "); // half of it
    EXPECT_EQ(file.look(), DeskFile::Seen::same);
    EXPECT_EQ(file.text(), text("A"));
    write_text(m_path, text("Whole"));
    EXPECT_EQ(file.look(), DeskFile::Seen::changed);
    // What stays half is the author's.
    write_text(m_path, "{\"tabard\": 1, ");
    std::this_thread::sleep_for(std::chrono::milliseconds{500});
    EXPECT_EQ(file.look(), DeskFile::Seen::changed);
}

TEST_F(FileOfADesk, OfAnotherProgramWithOneTimeAndSizeIsSeen)
{
    DeskFile file = open();
    for (int i = 0; i < 50; ++i) { // the clock of files takes steps of some milliseconds
        write_text(m_path, text(i % 2 == 0 ? "X" : "Y"));
        ASSERT_EQ(file.look(), DeskFile::Seen::changed) << i;
    }
}

} // namespace
} // namespace tabard::pipeline
