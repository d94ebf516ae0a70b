#include "pipeline/render/overlay_film.h"
#include "tests/pipeline/render/film_for_test.h"
#include "tests/support/footage.h"
#include "tests/support/run_program.h"

#include <algorithm>
#include <filesystem>
#include <string>
#include <vector>

#include <gtest/gtest.h>

namespace tabard::pipeline {
namespace {

namespace fs = std::filesystem;
using tests::TemporaryFolder;

// The overlay filter of libavfilter is right with straight alpha on packed RGB.
TEST(OverlayFilm, LaidOverTheFootageByAnotherProgramIsTheBurnedInFilm)
{
    TemporaryFolder const folder;
    tests::make_footage(folder / "in.mp4", "testsrc2=s=320x180:r=25:d=1.2", {"-pix_fmt", "yuv420p", "-crf", "12"});
    overlay::Scene fading = tests::text_scene();
    fading.layers[0].level = 3;
    FilmJob job = tests::job_for(
        folder / "in.mp4", folder / "film.mp4",
        {{from_seconds(0.2), from_seconds(0.4), fading}, {from_seconds(0.4), from_seconds(0.8), tests::text_scene()}});
    job.write.encoder.crf = 6;
    ASSERT_TRUE(render_film(job));
    std::vector<tests::Picture> const film = tests::read_pictures(folder / "film.mp4");
    auto const ink = tests::ink_of(*probe_film(folder / "in.mp4"), tests::text_scene());
    struct Case {
        char const* file;
        OverlayCodec codec;
    };
    for (auto const& [file, codec] : {Case{"rle.mov", OverlayCodec::rle}, Case{"prores.mov", OverlayCodec::prores}}) {
        SCOPED_TRACE(file);
        job.target = folder / file;
        auto const report = render_overlay_film(job, codec);
        ASSERT_TRUE(report) << report.error().what;
        EXPECT_EQ(report->pictures, 30);
        EXPECT_EQ(report->drawn_pictures, 15);
        auto const run = tests::run_program(
            {"ffmpeg", "-v", "error", "-y", "-i", folder / "in.mp4", "-i", folder / file, "-filter_complex",
             "[0]scale=in_color_matrix=bt601:flags=accurate_rnd,format=gbrp[f];[1]format=gbrap[o];"
             "[f][o]overlay=format=gbrp:alpha=straight,scale=out_color_matrix=bt601:flags=accurate_rnd,format=yuv420p",
             "-crf", "6", folder / "laid.mp4"});
        ASSERT_EQ(run.exit, 0) << run.err;
        std::vector<tests::Picture> const laid = tests::read_pictures(folder / "laid.mp4");
        ASSERT_EQ(laid.size(), film.size());
        for (std::size_t i = 0; i < film.size(); ++i)
            EXPECT_GT(tests::psnr(film[i], laid[i], ink, tests::Where::inside), 40) << i;
    }
}

TEST(OverlayFilm, HasThePictureTimesOfTheFootageAndCostsNextToNothingWhereNothingIsShown)
{
    TemporaryFolder const folder;
    tests::make_footage(folder / "in.mp4", "testsrc2=s=320x180:r=30000/1001:d=4", {"-pix_fmt", "yuv420p"});
    FilmJob job = tests::job_for(folder / "in.mp4", folder / "track.mov",
                                 {{from_seconds(1), from_seconds(1.2), tests::text_scene()}});
    auto const report = render_overlay_film(job, OverlayCodec::rle);
    ASSERT_TRUE(report) << report.error().what;
    EXPECT_EQ(tests::ffprobe_rows(folder / "track.mov", "packet=pts_time"), [&] {
        auto rows = tests::ffprobe_rows(folder / "in.mp4", "packet=pts_time");
        std::sort(rows.begin(), rows.end());
        return rows;
    }());
    EXPECT_LT(report->bytes, 120'000); // one drawn picture and little else: 120 pictures of 230 kB raw
}

TEST(OverlayFilm, HasTheTimecodeThatTheCameraWrote)
{
    TemporaryFolder const folder;
    tests::make_footage(folder / "in.mov", "testsrc2=s=320x180:r=25:d=4", {"-timecode", "01:02:03:04"});
    FilmJob job = tests::job_for(folder / "in.mov", folder / "track.mov",
                                 {{from_seconds(1), from_seconds(1.2), tests::text_scene()}});
    ASSERT_TRUE(render_overlay_film(job, OverlayCodec::rle));
    EXPECT_EQ(tests::ffprobe_rows(job.target, "stream_tags=timecode"), std::vector<std::string>{"01:02:03:04"});
    job.target = folder / "part.mov";
    job.write.from = from_seconds(2);
    ASSERT_TRUE(render_overlay_film(job, OverlayCodec::prores));
    EXPECT_EQ(tests::ffprobe_rows(job.target, "stream_tags=timecode"), std::vector<std::string>{"01:02:05:04"});
}

TEST(OverlayFilm, IsUprightWhereTheFootageIsTurned)
{
    TemporaryFolder const folder;
    tests::make_footage(folder / "in.mp4", "testsrc2=s=320x180:r=25:d=0.2", {"-pix_fmt", "yuv420p"});
    tests::set_display_matrix(folder / "in.mp4", {0, 0x10000, 0, -0x10000, 0, 0, 0, 0, 0x40000000});
    FilmJob job = tests::job_for(folder / "in.mp4", folder / "track.mov", {});
    ASSERT_TRUE(render_overlay_film(job, OverlayCodec::rle));
    auto const track = probe_film(folder / "track.mov");
    EXPECT_EQ(track->video->stored, (SizePx{180, 320}));
    EXPECT_EQ(track->video->orientation, Orientation{});
}

TEST(OverlayFilm, AsPicturesIsAFolderThatIsThereWhole)
{
    TemporaryFolder const folder;
    tests::make_footage(folder / "in.mp4", "testsrc2=s=160x96:r=25:d=0.4", {"-pix_fmt", "yuv420p"});
    FilmJob job = tests::job_for(folder / "in.mp4", folder / "pictures", {});
    ASSERT_TRUE(render_overlay_film(job, OverlayCodec::png));
    EXPECT_EQ(std::distance(fs::directory_iterator(folder / "pictures"), fs::directory_iterator()), 10);
    EXPECT_FALSE(render_overlay_film(job, OverlayCodec::png)); // not over what is there
    EXPECT_EQ(std::distance(fs::directory_iterator(folder.path()), fs::directory_iterator()), 2);
}

} // namespace
} // namespace tabard::pipeline
