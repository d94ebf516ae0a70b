// What a cut holds that the lesson cannot follow is said by every command that looks through it, in the same words; and
// a film that is not the one of its cut is a warning.
#include "tests/support/footage.h"
#include "tests/support/run_program.h"

#include <filesystem>
#include <string>
#include <vector>

#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace tabard::tests {
namespace {

namespace fs = std::filesystem;
using testing::HasSubstr;
using testing::Not;

class CutRemarks : public testing::Test {
protected:
    CutRemarks()
    {
        make_footage(m_folder / "quay.mp4", "testsrc2=s=1280x720:r=25:d=8",
                     {"-pix_fmt", "yuv420p", "-preset", "ultrafast"});
        make_footage(m_folder / "new.mp4", "testsrc2=s=1280x720:r=25:d=6",
                     {"-pix_fmt", "yuv420p", "-preset", "ultrafast"});
        write_text(m_folder / "lesson.json", R"({"tabard": 1, "title": "Lantern on the Quay", "footage": "quay.mp4",
 "sections": [{"name": "Verse", "from": "0:00", "to": "0:08", "show": [{"chord": "C", "from": "0:00"}]}]})");
        // Frames 0 to 99 and 125 to 149 of the footage, and between them one second of another reel: 150 frames.
        write_text(m_folder / "cut.edl",
                   "TITLE: CUT\n001  QUAY     V  C  00:00:00:00 00:00:04:00 01:00:00:00 01:00:04:00\n"
                   "002  HARBOUR  V  C  00:00:09:00 00:00:10:00 01:00:04:00 01:00:05:00\n"
                   "003  QUAY     V  C  00:00:05:00 00:00:06:00 01:00:05:00 01:00:06:00\n");
    }

    ProgramRun run(std::vector<std::string> words) const
    {
        words.insert(words.begin(), {"env", "-C", m_folder.path().string(), TABARD_PROGRAM});
        return run_program(words);
    }
    /// The same through the cut, on a film.
    ProgramRun through(std::vector<std::string> words, std::string const& film = "new.mp4") const
    {
        words.insert(words.begin() + 1, {"lesson.json", "--through", "cut.edl", "--footage", film});
        return run(words);
    }

    TemporaryFolder m_folder;
};

TEST_F(CutRemarks, AreSaidByEveryCommandThatLooksThroughACut)
{
    constexpr char const* kRemark = "note: 1.000 s of the new film are new material, from HARBOUR\n";
    for (std::vector<std::string> const& words :
         std::vector<std::vector<std::string>>{{"check", "--quick"},
                                               {"render", "-o", "film.mp4", "--plan"},
                                               {"still", "--at", "1", "-o", "still.png"},
                                               {"publish", "-o", "published"},
                                               {"sheet", "-o", "sheet.pdf"},
                                               {"export", "--to", "csv", "-o", "cues.csv"}}) {
        SCOPED_TRACE(words.front());
        ProgramRun const said = through(words);
        EXPECT_EQ(said.exit, 0) << said.err;
        EXPECT_THAT(said.err, HasSubstr(kRemark));
        EXPECT_THAT(said.err, Not(HasSubstr("other-cut")));
    }
    ProgramRun const retimed = run({"retime", "lesson.json", "--by", "cut.edl", "--footage", "new.mp4"});
    EXPECT_EQ(retimed.exit, 0) << retimed.err;
    EXPECT_THAT(retimed.out, HasSubstr(kRemark));
}

TEST_F(CutRemarks, AFilmThatIsNotTheOneOfItsCutIsAWarningThatStrictMakesAnError)
{
    constexpr char const* kWarning = "the cut makes a film of 0:06.000, and this one lasts 0:08.000";
    ProgramRun const checked = through({"check", "--quick"}, "quay.mp4");
    EXPECT_EQ(checked.exit, 0) << checked.err;
    EXPECT_THAT(checked.out, HasSubstr(kWarning));
    EXPECT_EQ(through({"check", "--quick", "--strict"}, "quay.mp4").exit, 1);
    ProgramRun const still = through({"still", "--at", "1", "-o", "still.png"}, "quay.mp4");
    EXPECT_THAT(still.err, HasSubstr("1 warning (tabard check --quick"));

    std::vector<std::string> const retime{"retime",    "lesson.json", "--by", "cut.edl",
                                          "--footage", "quay.mp4",    "-o",   "new.json"};
    auto strict = retime;
    strict.emplace_back("--strict");
    ProgramRun const refused = run(strict);
    EXPECT_NE(refused.exit, 0);
    EXPECT_THAT(refused.err, HasSubstr(kWarning));
    EXPECT_FALSE(fs::exists(m_folder / "new.json"));
    ProgramRun const written = run(retime);
    EXPECT_EQ(written.exit, 0) << written.err;
    EXPECT_THAT(written.out, HasSubstr(kWarning));
    EXPECT_TRUE(fs::exists(m_folder / "new.json"));
}

// The footage lasts eight seconds; the second piece ends six seconds later.
TEST_F(CutRemarks, ACutThatTakesMoreThanThereIsIsAWarningThatStrictMakesAnError)
{
    constexpr char const* kWarning = "the cut takes more than there is of the footage";
    write_text(m_folder / "cut.csv", "from,to\n0:01,0:04\n0:06,0:14\n");
    auto const through_it = [&](std::vector<std::string> words) {
        words.insert(words.begin() + 1, {"lesson.json", "--through", "cut.csv"});
        return run(words);
    };
    EXPECT_THAT(through_it({"check", "--quick"}).out, HasSubstr(kWarning));
    EXPECT_EQ(through_it({"check", "--quick", "--strict"}).exit, 1);
    EXPECT_THAT(through_it({"sheet", "-o", "sheet.pdf"}).err, HasSubstr(std::string("warning: ") + kWarning));
    ProgramRun const refused = run({"retime", "lesson.json", "--by", "cut.csv", "-o", "new.json", "--strict"});
    EXPECT_NE(refused.exit, 0);
    EXPECT_THAT(refused.err, HasSubstr(kWarning));
    ProgramRun const written = run({"retime", "lesson.json", "--by", "cut.csv", "-o", "new.json"});
    EXPECT_EQ(written.exit, 0) << written.err;
    EXPECT_THAT(written.out, HasSubstr(kWarning));
}

// The first event of the list is three seconds after the hour, which is the film's first frame: a title comes before
// it.
TEST_F(CutRemarks, AFilmWhoseTimecodeBeginsBeforeItsCutIsAWarning)
{
    make_footage(m_folder / "titled.mov", "testsrc2=s=1280x720:r=25:d=6",
                 {"-pix_fmt", "yuv420p", "-preset", "ultrafast", "-timecode", "01:00:00:00"});
    std::string list = read_text(m_folder / "cut.edl");
    for (auto at = list.find("01:00:0"); at != list.npos; at = list.find("01:00:0", at + 1))
        list[at + 7] = static_cast<char>(list[at + 7] + 3);
    write_text(m_folder / "cut.edl", list);
    ProgramRun const checked = through({"check", "--quick"}, "titled.mov");
    EXPECT_THAT(checked.out,
                HasSubstr("the film's first frame is 01:00:00:00, and the cut counts its first from 3 s later; say "
                          "--record-start 01:00:00:00 if the film is right [other-cut]"));
    auto const told = through({"check", "--quick", "--record-start", "01:00:00:00"}, "titled.mov");
    EXPECT_THAT(told.out, Not(HasSubstr("first frame")));
}

} // namespace
} // namespace tabard::tests
