#include "tests/support/paths.h"
#include "tests/support/run_program.h"

#include <filesystem>
#include <string>

#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace tabard::tests {
namespace {

namespace fs = std::filesystem;
using testing::HasSubstr;
using testing::Not;

class TransposeCommand : public testing::Test {
protected:
    TransposeCommand() { fs::copy_file(source_folder() / "sample_media/lantern.json", lesson); }

    TemporaryFolder const folder;
    fs::path const lesson = folder / "lesson.json";
};

// The demo sounds in C sharp minor and has its shapes in A minor behind the fourth fret; two frets lower they are in
// B minor.
TEST_F(TransposeCommand, WritesTheDemoForAnotherCapoAndChangesNothingElse)
{
    fs::path const written = folder / "capo2.json";
    auto const run = run_program({TABARD_PROGRAM, "transpose", lesson, "--capo", "2", "-o", written});
    ASSERT_EQ(run.exit, 0) << run.err;
    std::string expected = read_text(lesson);
    for (auto const& [from, to] : {std::pair{"\"capo\": 4", "\"capo\": 2"},
                                   {"\"Am | F | C | Em\"", "\"Bm | G | D | F#m\""},
                                   {"\"Am | C\"", "\"Bm | D\""},
                                   {"\"F | C / G / | Am / C/G / | F\"", "\"G | D / A / | Bm / D/A / | G\""},
                                   {"\"C | Em | F / G / | Am\"", "\"D | F#m | G / A / | Bm\""},
                                   {"\"chord\": \"Am\"", "\"chord\": \"Bm\""},
                                   {"\"chord\": \"C\"", "\"chord\": \"D\""},
                                   {"\"chord\": \"Em\"", "\"chord\": \"F#m\""},
                                   {"\"chord\": \"F\"", "\"chord\": \"G\""}})
        expected.replace(expected.find(from), std::string(from).size(), to);
    EXPECT_EQ(read_text(written), expected);
    EXPECT_THAT(run.err, HasSubstr("Moved all chord shapes 2 semitones up, to the key of Bm."));
    EXPECT_THAT(run.err, HasSubstr("Your own shapes of C/G, F stay in \"shapes\""));
    auto const check = run_program({TABARD_PROGRAM, "check", "--quick", written});
    EXPECT_THAT(check.out, HasSubstr("no-footage")); // so it was read; its film stayed where it is
    EXPECT_THAT(check.out, Not(HasSubstr("key-mismatch")));
}

TEST_F(TransposeCommand, ChangesTheLessonItselfAndBackWhenToldTo)
{
    std::string const before = read_text(lesson);
    auto const run = run_program({TABARD_PROGRAM, "transpose", lesson, "--key", "Em", "--in-place"});
    ASSERT_EQ(run.exit, 0) << run.err;
    EXPECT_THAT(read_text(lesson), HasSubstr("\"Cm | Ab | Eb | Gm\"")) << "E minor behind the fourth fret is C minor";
    EXPECT_THAT(run.err, HasSubstr("still sounds as it was filmed"));
    ASSERT_EQ(run_program({TABARD_PROGRAM, "transpose", lesson, "--key", "C#m", "--in-place"}).exit, 0);
    EXPECT_EQ(read_text(lesson), before);
}

TEST_F(TransposeCommand, SaysWhatIsMissing)
{
    auto const nothing = run_program({TABARD_PROGRAM, "transpose", lesson, "--in-place"});
    EXPECT_EQ(nothing.exit, 2);
    EXPECT_THAT(nothing.err, HasSubstr("needs --key, --capo or both"));
    auto const nowhere = run_program({TABARD_PROGRAM, "transpose", lesson, "--capo", "2"});
    EXPECT_EQ(nowhere.exit, 2);
    EXPECT_THAT(nowhere.err, HasSubstr("needs -o FILE, or --in-place"));
    auto const key = run_program({TABARD_PROGRAM, "transpose", lesson, "--key", "H", "--in-place"});
    EXPECT_EQ(key.exit, 2);
    auto const mode = run_program({TABARD_PROGRAM, "transpose", lesson, "--key", "E", "--in-place"});
    EXPECT_EQ(mode.exit, 3);
    EXPECT_THAT(mode.err, HasSubstr("ask for Em"));
}

} // namespace
} // namespace tabard::tests
