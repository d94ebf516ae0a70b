// A teacher stops in the middle of a part and talks: over the film nothing is counted until the playing goes on.
#include "tests/support/footage.h"
#include "tests/support/paths.h"
#include "tests/support/run_program.h"

#include <cstddef>
#include <cstdlib>
#include <filesystem>
#include <string>
#include <string_view>
#include <vector>

#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace tabard::tests {
namespace {

namespace fs = std::filesystem;
using testing::ElementsAre;
using testing::HasSubstr;

// 25 frames a second; a beat is 0.5 s. Bar 1 from 0:01, a pause from 0:03 to 0:06, bars 2 and 3 until 0:10. Bar 3 of
// the chart is skipped.
constexpr char const* kLesson = R"({"tabard": 1, "title": "t", "footage": "film.mp4", "tempo": 120,
 "strums": {"s": "D D D D"},
 "sections": [{"name": "", "bars": "C | G | Em | Am",
   "pins": [["1.1", "0:01"], ["2.1", "0:03 to 0:06"], ["3.1 to 4.1", "0:08"], ["5.1", "0:10"]]}]}
)";

constexpr std::size_t kPixels = 320 * 180;

class RestingFilm : public testing::Test {
protected:
    RestingFilm()
    {
        setenv("XDG_CACHE_HOME", (m_folder / "cache").c_str(), 1);
        write_text(file("lesson.json"), kLesson);
        film("film.mp4", 12);
    }
    ~RestingFilm() override { unsetenv("XDG_CACHE_HOME"); }

    fs::path file(std::string const& name) const { return m_folder / name; }

    void film(std::string const& name, int seconds) const
    {
        make_footage(file(name), "color=gray:s=640x360:r=25:d=" + std::to_string(seconds),
                     {"-pix_fmt", "yuv420p", "-preset", "ultrafast", "-g", "25"});
    }

    /// Where the picture changes by more than coding does, of frames [30, to).
    std::vector<std::size_t> changes(std::string const& name, std::size_t to) const
    {
        ProgramRun const run =
            run_program({"ffmpeg", "-v", "error", "-i", file(name), "-an", "-vf", "scale=320:180,format=gray",
                         "-fps_mode", "passthrough", "-f", "rawvideo", file(name + ".gray")});
        EXPECT_EQ(run.exit, 0) << run.err;
        std::string const grey = read_text(file(name + ".gray"));
        std::vector<std::size_t> frames;
        for (std::size_t frame = 30; frame < to && (frame + 1) * kPixels <= grey.size(); ++frame) {
            int changed = 0;
            for (std::size_t i = frame * kPixels; i < (frame + 1) * kPixels; ++i)
                changed +=
                    std::abs(static_cast<unsigned char>(grey[i]) - static_cast<unsigned char>(grey[i - kPixels])) > 25;
            if (changed > 30)
                frames.push_back(frame);
        }
        return frames;
    }

    TemporaryFolder m_folder;
};

// A stroke each 12.5 frames, on the frame that is on screen then; from 75 to 150 all rests. Before the last chord the
// card of the next one fades out, in three steps of 1.25 frames.
TEST_F(RestingFilm, NothingMovesInAPauseAndAllGoesOnOnTheFrame)
{
    ProgramRun const check = run_program({TABARD_PROGRAM, "check", "--quick", file("lesson.json")});
    EXPECT_EQ(check.exit, 0) << check.out << check.err;
    ProgramRun const run = run_program(
        {TABARD_PROGRAM, "render", file("lesson.json"), "-o", file("out.mp4"), "--crf", "4", "--preset", "ultrafast"});
    ASSERT_EQ(run.exit, 0) << run.err;
    EXPECT_THAT(changes("out.mp4", 240),
                ElementsAre(37, 50, 62, 75, 150, 162, 175, 187, 196, 197, 198, 200, 212, 225, 237));
}

TEST_F(RestingFilm, APauseThatIsCutOutOfTheFilmIsGone)
{
    write_text(file("cut.edl"), "TITLE: NO PAUSE\nFCM: NON-DROP FRAME\n"
                                "001  FILM  V  C  00:00:00:00 00:00:03:00 00:00:00:00 00:00:03:00\n"
                                "002  FILM  V  C  00:00:06:00 00:00:12:00 00:00:03:00 00:00:09:00\n");
    film("new.mp4", 9);
    ProgramRun const run =
        run_program({TABARD_PROGRAM, "render", file("lesson.json"), "--through", file("cut.edl"), "--footage",
                     file("new.mp4"), "-o", file("out.mp4"), "--crf", "4", "--preset", "ultrafast"});
    ASSERT_EQ(run.exit, 0) << run.err;
    EXPECT_THAT(changes("out.mp4", 165), ElementsAre(37, 50, 62, 75, 87, 100, 112, 121, 122, 123, 125, 137, 150, 162));
    ProgramRun const baked = run_program({TABARD_PROGRAM, "retime", file("lesson.json"), "--by", file("cut.edl"),
                                          "--footage", file("new.mp4"), "-o", file("baked.json")});
    ASSERT_EQ(baked.exit, 0) << baked.err;
    EXPECT_THAT(read_text(file("baked.json")),
                HasSubstr(R"([["1.1", "0:01"], ["2.1", "0:03"], ["3.1 to 4.1", "0:05"], ["5.1", "0:07"]])"));
}

} // namespace
} // namespace tabard::tests
