#include "pipeline/desk/file/journal.h"
#include "pipeline/desk/view/lesson_view.h"
#include "tests/support/run_program.h"

#include <algorithm>

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

namespace tabard::pipeline {
namespace {

using tests::read_text;
using tests::TemporaryFolder;
using tests::write_text;

JournalEntry entry(std::string const& before, std::string const& after, std::string what)
{
    return {JournalEntry::Kind::edit, text_digest(before), text_digest(after), splice_between(before, after),
            std::move(what)};
}

RC_GTEST_PROP(Splice, MakesOneTextOfAnotherAndBack,
              (std::string const& shared, std::string const& one, std::string const& other))
{
    std::string const before = shared + one + shared;
    std::string const after = shared + other + shared;
    Splice const splice = splice_between(before, after);
    RC_ASSERT(spliced(before, splice) == after);
    RC_ASSERT(spliced(after, splice.inverse()) == before);
    RC_ASSERT(splice.old_bytes.size() <= one.size());
}

TEST(Splice, IsRefusedByATextThatHasOtherBytesThere)
{
    Splice const splice = splice_between("capo 4 of the lesson", "capo 3 of the lesson");
    EXPECT_EQ(splice, (Splice{5, "4", "3"}));
    EXPECT_EQ(spliced("capo 5 of the lesson", splice), std::nullopt);
    EXPECT_EQ(spliced("capo", splice), std::nullopt);
}

TEST(DeskJournal, GivesBackWhatWasNoted)
{
    TemporaryFolder const folder;
    auto const first = entry("a", std::string("b\0\n\xff", 4), "Move \"Verse\"\nto 1:02");
    auto const second = entry("b", "", "");
    {
        auto journal = Journal::open(folder / "journal");
        ASSERT_TRUE(journal);
        ASSERT_TRUE(journal->append(first));
        journal->written();
        ASSERT_TRUE(journal->append(second));
    }
    auto journal = Journal::open(folder / "journal");
    ASSERT_TRUE(journal);
    EXPECT_EQ(journal->entries(), (std::vector{first, second}));
    EXPECT_FALSE(journal->last_is_written());
    ASSERT_TRUE(journal->take_back());
    auto const again = Journal::open(folder / "journal");
    EXPECT_EQ(again->entries(), (std::vector{first}));
    EXPECT_TRUE(again->last_is_written());
}

TEST(DeskJournal, ThatEndsAnywhereHasAllThatWasWholeBefore)
{
    TemporaryFolder const folder;
    std::vector<JournalEntry> noted;
    std::vector<std::size_t> ends; // where each entry is whole
    {
        auto journal = Journal::open(folder / "journal");
        std::string text = "the lesson";
        for (char const* const more : {" has", " a verse", ", a chorus", " and an end\n"}) {
            noted.push_back(entry(text, text + more, "Write"));
            ASSERT_TRUE(journal->append(noted.back()));
            ends.push_back(read_text(folder / "journal").size());
            journal->written();
            text += more;
        }
    }
    std::string const whole = read_text(folder / "journal");
    for (std::size_t size = 0; size <= whole.size(); ++size) {
        SCOPED_TRACE(size);
        auto const count = std::ranges::count_if(ends, [&](std::size_t end) { return end <= size; });
        write_text(folder / "cut", whole.substr(0, size));
        auto journal = Journal::open(folder / "cut");
        ASSERT_TRUE(journal);
        ASSERT_EQ(journal->entries(), std::vector(noted.begin(), noted.begin() + count));
        // What comes next is not hidden by the torn one.
        ASSERT_TRUE(journal->append(entry("x", "y", "Next")));
        ASSERT_EQ(Journal::open(folder / "cut")->entries().size(), static_cast<std::size_t>(count) + 1);
    }
}

TEST(DeskJournal, WithAWrongByteIsReadUpToIt)
{
    TemporaryFolder const folder;
    {
        auto journal = Journal::open(folder / "journal");
        for (int i = 0; i < 3; ++i)
            ASSERT_TRUE(journal->append(entry("a", "b", "Write")));
    }
    std::string const whole = read_text(folder / "journal");
    for (std::size_t at = 0; at < whole.size(); ++at) {
        std::string wrong = whole;
        wrong[at] = static_cast<char>(wrong[at] ^ 1);
        auto const reading = read_journal(wrong);
        EXPECT_EQ(reading.entries.size(), at / (whole.size() / 3)) << at;
    }
}

TEST(DeskJournal, IsForItsUserAlone)
{
    TemporaryFolder const folder;
    ASSERT_TRUE(Journal::open(folder / "journal"));
    EXPECT_EQ(std::filesystem::status(folder / "journal").permissions(), std::filesystem::perms{0600});
    std::filesystem::create_symlink(folder / "journal", folder / "link");
    EXPECT_FALSE(Journal::open(folder / "link"));
}

} // namespace
} // namespace tabard::pipeline
