#include "pipeline/match/match_cut.h"
#include "tests/support/footage.h"
#include "tests/support/run_program.h"

#include <cstdlib>
#include <filesystem>
#include <string>
#include <utility>
#include <vector>

#include <fmt/format.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace tabard::tests {
namespace {

using pipeline::FrameRate;
using testing::HasSubstr;

/// Frames [first, second) of the old film, in the order of the new one.
using Pieces = std::vector<std::pair<int, int>>;

class MatchPictures : public testing::Test {
protected:
    /// Cuts with FFmpeg's trim and concat, through another encoder setting and size.
    void cut_again(Pieces const& pieces) const
    {
        std::string graph;
        std::string inputs;
        for (std::size_t n = 0; n < pieces.size(); ++n) {
            graph += fmt::format("[0:v]trim=start_frame={}:end_frame={},setpts=PTS-STARTPTS[p{}];", pieces[n].first,
                                 pieces[n].second, n);
            inputs += fmt::format("[p{}]", n);
        }
        graph += fmt::format("{}concat=n={}:v=1:a=0,scale=iw/2:-2", inputs, pieces.size());
        auto const run =
            run_program({"ffmpeg", "-v", "error", "-i", m_folder / "old.mp4", "-filter_complex", graph, "-c:v",
                         "libx264", "-preset", "ultrafast", "-crf", "28", "-an", m_folder / "new.mp4"});
        ASSERT_EQ(run.exit, 0) << run.err;
    }

    void expect_found(Pieces const& pieces, FrameRate rate) const
    {
        auto const cut = pipeline::match_cut(m_folder / "old.mp4", m_folder / "new.mp4", rate);
        ASSERT_TRUE(cut) << cut.error().what;
        EXPECT_EQ(cut->by, pipeline::Evidence::pictures);
        auto const& spans = cut->map.spans();
        ASSERT_EQ(spans.size(), pieces.size());
        int at = 0;
        for (std::size_t n = 0; n < pieces.size(); ++n) {
            SCOPED_TRACE(n);
            EXPECT_EQ(spans[n].source.from, pipeline::from_frame(pieces[n].first, rate));
            EXPECT_EQ(spans[n].source.to, pipeline::from_frame(pieces[n].second, rate));
            EXPECT_EQ(spans[n].target.from, pipeline::from_frame(at, rate));
            at += pieces[n].second - pieces[n].first;
        }
    }

    TemporaryFolder m_folder;
};

// The pictures themselves, of libavfilter's test pattern, say where they come from: arithmetic of the frame numbers.
TEST_F(MatchPictures, EveryPieceOfAFilmWithoutSoundIsFoundToTheFrame)
{
    make_footage(m_folder / "old.mp4", "testsrc2=s=320x180:r=25:d=24", {"-preset", "ultrafast"});
    Pieces const pieces{{0, 133}, {301, 420}, {150, 260}, {480, 597}};
    cut_again(pieces);
    expect_found(pieces, {25, 1});
}

// Debian's opencv-doc: 795 pictures of people walking past a camera that does not move, as in a filmed lesson.
TEST_F(MatchPictures, EveryPieceOfAStillCamerasFilmIsFoundToTheFrame)
{
    std::string const walkers = "/usr/share/doc/opencv-doc/examples/data/vtest.avi";
    if (!std::filesystem::exists(walkers))
        GTEST_SKIP() << "opencv-doc is not installed";
    auto const run = run_program({"ffmpeg", "-v", "error", "-i", walkers, "-vf", "scale=384:288", "-c:v", "libx264",
                                  "-preset", "ultrafast", "-an", m_folder / "old.mp4"});
    ASSERT_EQ(run.exit, 0) << run.err;
    Pieces const pieces{{0, 151}, {402, 523}, {211, 333}, {601, 780}};
    cut_again(pieces);
    expect_found(pieces, {10, 1});
}

TEST_F(MatchPictures, AFilmInWhichNothingMovesIsRefusedWithTheReasons)
{
    make_footage(m_folder / "old.mp4", "color=gray:s=320x180:r=25:d=10", {"-preset", "ultrafast"});
    cut_again({{0, 50}, {100, 200}});
    auto const cut = pipeline::match_cut(m_folder / "old.mp4", m_folder / "new.mp4", {25, 1});
    ASSERT_FALSE(cut);
    EXPECT_EQ(cut.error().kind, ErrorKind::unsupported);
    EXPECT_THAT(cut.error().what, HasSubstr("there is no sound"));
    EXPECT_THAT(cut.error().what, HasSubstr("too little moves"));
}

TEST_F(MatchPictures, AnotherFilmHasNothingInCommon)
{
    make_footage(m_folder / "old.mp4", "testsrc2=s=320x180:r=25:d=10", {"-preset", "ultrafast"});
    make_footage(m_folder / "new.mp4", "mandelbrot=s=320x180:r=25:end_pts=200,trim=duration=8",
                 {"-preset", "ultrafast"});
    auto const cut = pipeline::match_cut(m_folder / "old.mp4", m_folder / "new.mp4", {25, 1});
    ASSERT_FALSE(cut);
    EXPECT_THAT(cut.error().what, HasSubstr("of its frames come from the old film"));
}

} // namespace
} // namespace tabard::tests
