#include "pipeline/files/shell_word.h"
#include "tests/support/run_program.h"

#include <string>

#include <gtest/gtest.h>

namespace tabard::pipeline {
namespace {

// The shell itself is asked.
TEST(ShellWord, ComesOutOfTheShellAsItWentIn)
{
    for (std::string const word : {"plain", "two words", "it's", "\"quoted\"", "$HOME `id` \\ !", "*?[a]", "", "-n",
                                   "a\tb", "caf\xc3\xa9", "''''", "; rm -rf x", "#no comment", "~"}) {
        for (std::string const& written : {quoted_word(word), shell_word(word)})
            EXPECT_EQ(tests::run_program({"/bin/sh", "-c", "printf %s -- " + written}).out, "--" + word) << written;
    }
}

TEST(ShellWord, HasQuotesOnlyWhereItNeedsThem)
{
    EXPECT_EQ(shell_word("films/lesson_2.timed-1.json"), "films/lesson_2.timed-1.json");
    EXPECT_EQ(shell_word("my lesson.json"), "'my lesson.json'");
    EXPECT_EQ(quoted_word("plain"), "'plain'");
}

} // namespace
} // namespace tabard::pipeline
