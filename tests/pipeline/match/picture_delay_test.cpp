#include "pipeline/match/delay_curve.h"
#include "pipeline/match/match_cut.h"
#include "pipeline/match/picture_delay.h"
#include "tests/support/performance/recut.h"
#include "tests/support/performance/room.h"
#include "tests/support/run_program.h"

#include <cmath>
#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include <fmt/format.h>
#include <fmt/ranges.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace tabard::tests {
namespace {

using testing::HasSubstr;

/// A camera on a tripod: a still room with the noise of a sensor, and a hand of `size` pixels that strums, 2.1 times a
/// second and never quite evenly.
std::string tripod(int size)
{
    return fmt::format("testsrc2=s=320x180:r=25:d=40,loop=loop=-1:size=1,trim=duration=40,setpts=N/25/TB[room];"
                       "color=peru:s={0}x{0}:r=25:d=40[hand];"
                       "[room][hand]overlay=x=150:y='70+{1}*sin(2*PI*2.1*t+1.3*sin(2*PI*0.37*t)+0.9*sin(2*PI*0.83*t))',"
                       "noise=alls=6:allf=t",
                       size, 2 * size);
}

/// Pictures 25 a second from frame `first` on in which one bright cell goes up and down, in row `row(frame)`.
template <class Row>
std::vector<pipeline::TimedPrint> moving_cell(int first, int count, int shift, Row const& row)
{
    std::vector<pipeline::TimedPrint> prints;
    for (int frame = first; frame < first + count; ++frame) {
        pipeline::TimedPrint one{{pipeline::from_frame(frame, {25, 1}), pipeline::from_frame(frame + 1, {25, 1})}, {}};
        one.print[static_cast<std::size_t>(row(frame + shift)) * pipeline::kPrintWidth + 7] = 200;
        prints.push_back(one);
    }
    return prints;
}

template <class Row>
std::optional<double> delay_of(Row const& row)
{
    // The sound says that both films run alike; the new pictures are two ahead of the old ones.
    pipeline::MatchedPiece const piece{0, 20, 0, {}, {}};
    pipeline::DelayCurve curve;
    curve.add(moving_cell(100, 75, 2, row), moving_cell(80, 115, 0, row), piece);
    return curve.delay(0.04);
}

TEST(DelayCurve, TwoFramesOfAMovementThatNeverRepeatsAreEightyMilliseconds)
{
    auto const delay = delay_of([](int frame) { return frame * frame % 17; });
    ASSERT_TRUE(delay);
    EXPECT_NEAR(*delay, 0.08, 0.01);
}

// Five pictures later all looks the same: any of these delays may be the true one.
TEST(DelayCurve, AMovementThatRepeatsTellsNothing)
{
    EXPECT_FALSE(delay_of([](int frame) { return frame % 5 * 3; }));
}

TEST(DelayCurve, WhatStandsStillTellsNothing)
{
    EXPECT_FALSE(delay_of([](int) { return 4; }));
}

/// An old film of 40 s with a lesson's sound, and a new one of its last 25 s whose sound runs `delay` seconds later.
class DelayedSound : public testing::Test {
protected:
    void make_films(std::string const& pictures, double delay) const
    {
        write_wav(m_folder / "sound.wav", lesson_sound(40, 21), pipeline::kMatchRate);
        ffmpeg({"-f", "lavfi", "-i", pictures, "-i", m_folder / "sound.wav", "-t", "40", "-c:v", "libx264", "-preset",
                "ultrafast", "-pix_fmt", "yuv420p", "-c:a", "pcm_s16le", m_folder / "old.mkv"});
        ffmpeg({"-i", m_folder / "old.mkv", "-filter_complex",
                fmt::format("[0:v]trim=15:40,setpts=PTS-STARTPTS,scale=480:270[v];"
                            "[0:a]atrim={}:40,asetpts=PTS-STARTPTS[a]",
                            15 - delay),
                "-map", "[v]", "-map", "[a]", "-t", "25", "-c:v", "libx264", "-preset", "ultrafast", "-crf", "30",
                "-c:a", "pcm_s16le", m_folder / "new.mkv"});
    }

    Result<pipeline::MatchedCut> match() const
    {
        return pipeline::match_cut(m_folder / "old.mkv", m_folder / "new.mkv", {25, 1});
    }

    TemporaryFolder m_folder;

private:
    static void ffmpeg(std::vector<std::string> const& words)
    {
        std::vector<std::string> all{"ffmpeg", "-v", "error", "-y"};
        all.insert(all.end(), words.begin(), words.end());
        auto const run = run_program(all);
        ASSERT_EQ(run.exit, 0) << run.err;
    }
};

class DelayedBy : public DelayedSound, public testing::WithParamInterface<double> {};

// The film was made with that delay; a frame is 40 ms.
TEST_P(DelayedBy, IsFoundToTheFrameAndCuesFollowThePictures)
{
    for (std::string const& pictures : {std::string("mandelbrot=s=320x180:r=25"), tripod(10)}) {
        SCOPED_TRACE(pictures);
        make_films(pictures, GetParam());
        auto const cut = match();
        ASSERT_TRUE(cut) << cut.error().what;
        EXPECT_NEAR(pipeline::to_seconds(cut->delay), GetParam(), 0.001);
        ASSERT_EQ(cut->map.spans().size(), 1U);
        auto const& span = cut->map.spans().front();
        EXPECT_EQ(span.source.from - span.target.from, pipeline::from_seconds(15));
        std::string const said = fmt::format("{}", fmt::join(cut->remarks, "\n"));
        if (GetParam() == 0)
            EXPECT_THAT(said, testing::Not(HasSubstr("sound")));
        else
            EXPECT_THAT(said, HasSubstr(fmt::format("{:.0f} ms ({:.3g} frame", std::abs(GetParam()) * 1000,
                                                    std::abs(GetParam()) / 0.04)));
    }
}

INSTANTIATE_TEST_SUITE_P(Seconds, DelayedBy, testing::Values(-0.2, -0.04, 0.0, 0.04, 0.08, 0.4));

// Whole frames of delay cannot be told here, and nothing is said of one.
TEST_F(DelayedSound, WhereNothingMovesNothingIsSaid)
{
    make_films("testsrc2=s=320x180:r=25:d=40,loop=loop=-1:size=1,noise=alls=6:allf=t", 0.08);
    auto const cut = match();
    ASSERT_TRUE(cut) << cut.error().what;
    EXPECT_EQ(cut->delay, pipeline::Time{0});
    EXPECT_THAT(cut->remarks, testing::Not(testing::Contains(HasSubstr("against its pictures,"))));
}

// Pictures of another film over the sound: nothing of the old pictures is there to compare with.
TEST_F(DelayedSound, OtherPicturesTellNothing)
{
    make_films("mandelbrot=s=320x180:r=25", 0.08);
    auto const run = run_program({"ffmpeg",
                                  "-v",
                                  "error",
                                  "-y",
                                  "-i",
                                  m_folder / "new.mkv",
                                  "-f",
                                  "lavfi",
                                  "-i",
                                  "life=s=320x180:r=25:ratio=0.3:mold=10",
                                  "-map",
                                  "1:v",
                                  "-map",
                                  "0:a",
                                  "-t",
                                  "25",
                                  "-c:v",
                                  "libx264",
                                  "-preset",
                                  "ultrafast",
                                  "-c:a",
                                  "copy",
                                  m_folder / "other.mkv"});
    ASSERT_EQ(run.exit, 0) << run.err;
    auto const cut = pipeline::match_cut(m_folder / "old.mkv", m_folder / "other.mkv", {25, 1});
    ASSERT_TRUE(cut) << cut.error().what;
    EXPECT_EQ(cut->delay, pipeline::Time{0});
}

} // namespace
} // namespace tabard::tests
