// Progress as another program reads it: TABARD_PROGRESS names a descriptor that is open.
#include "tests/support/footage.h"
#include "tests/support/run_program.h"

#include <cstdlib>
#include <filesystem>
#include <regex>
#include <sstream>
#include <string>
#include <vector>

#include <fcntl.h>
#include <fmt/format.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <sys/stat.h>
#include <unistd.h>

namespace tabard::tests {
namespace {

namespace fs = std::filesystem;
using testing::HasSubstr;
using testing::IsEmpty;

class ProgressLines : public testing::Test {
protected:
    ProgressLines()
    {
        make_footage(m_folder / "in.mp4", "testsrc2=s=320x180:r=25:d=4",
                     {"-pix_fmt", "yuv420p", "-preset", "ultrafast", "-g", "10"});
        write_text(m_folder / "lesson.json", R"({"tabard": 1, "title": "Lantern on the Quay", "footage": "in.mp4",
 "key": "C", "sections": [{"name": "Verse", "from": "0:00", "to": "0:04", "show": [{"chord": "C", "from": "0:00"}]}]})");
    }

    /// Renders to `film` in a shell, with the environment before it and redirections behind it.
    ProgramRun render(std::string const& film, std::string const& before, std::string const& behind) const
    {
        return run_program({"bash", "-c",
                            fmt::format("cd '{}' && {} '{}' render lesson.json --no-cache -o {} {}",
                                        m_folder.path().string(), before, TABARD_PROGRAM, film, behind)});
    }

    TemporaryFolder m_folder;
};

TEST_F(ProgressLines, RiseFromNothingToAllAndSayWhatIsDone)
{
    ProgramRun const run = render("film.mp4", "TABARD_PROGRESS=5", "5>lines 2>said");
    ASSERT_EQ(run.exit, 0) << read_text(m_folder / "said");
    EXPECT_THAT(read_text(m_folder / "said"), testing::Not(HasSubstr(" rendering"))); // no terminal: no bar
    std::istringstream lines(read_text(m_folder / "lines"));
    std::regex const form("([01]\\.[0-9]{4}) rendering");
    double before = -1;
    int count = 0;
    for (std::string line; std::getline(lines, line); ++count) {
        std::smatch found;
        ASSERT_TRUE(std::regex_match(line, found, form)) << line;
        double const share = std::stod(found[1]);
        EXPECT_GE(share, before);
        EXPECT_LE(share, 1);
        before = share;
    }
    EXPECT_GE(count, 2);
    EXPECT_EQ(before, 1); // however fast the film was made
}

// Every number that a program may have meant for a descriptor that is not there: the first file which is opened gets
// the lowest free one, and a film must not have progress written into it.
TEST_F(ProgressLines, NeverGoIntoAFileThatTheCommandOpensItself)
{
    ASSERT_EQ(render("plain.mp4", "", "").exit, 0);
    std::string const plain = read_text(m_folder / "plain.mp4");
    for (char const* const number : {"3", "4", "6", "8", "9", "1", "-1", "99999999999", "3x", ""}) {
        SCOPED_TRACE(number);
        ProgramRun const run = render(fmt::format("film{}.mp4", number), fmt::format("TABARD_PROGRESS={}", number), "");
        EXPECT_EQ(run.exit, 0) << run.err;
        EXPECT_THAT(run.out, IsEmpty());
        EXPECT_TRUE(read_text(m_folder / fmt::format("film{}.mp4", number)) == plain);
    }
}

TEST_F(ProgressLines, AReaderThatWentAwayOrNeverReadsStopsNothing)
{
    EXPECT_EQ(render("gone.mp4", "TABARD_PROGRESS=5", "5> >(exec true)").exit, 0);
    EXPECT_EQ(render("full.mp4", "TABARD_PROGRESS=5", "5>/dev/full").exit, 0);

    ASSERT_EQ(mkfifo((m_folder / "pipe").c_str(), 0600), 0);
    int const pipe = open((m_folder / "pipe").c_str(), O_RDWR | O_NONBLOCK | O_CLOEXEC);
    ASSERT_GE(pipe, 0);
    while (write(pipe, "x", 1) == 1) {
    }
    ProgramRun const run = render("film.mp4", "TABARD_PROGRESS=5 timeout 60", "5<>pipe");
    EXPECT_EQ(run.exit, 0) << run.err; // 124: it waited for ever
    close(pipe);
}

TEST_F(ProgressLines, AreInTheHandbook)
{
    EXPECT_THAT(run_program({TABARD_PROGRAM, "manual"}).out, HasSubstr("TABARD_PROGRESS"));
}

} // namespace
} // namespace tabard::tests
