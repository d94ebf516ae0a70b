// Whole films: rendered, read back, and compared picture by picture with the footage.
#include "pipeline/media/read/probe.h"
#include "pipeline/render/film.h"
#include "pipeline/render/still.h"
#include "tests/pipeline/render/film_for_test.h"
#include "tests/support/footage.h"
#include "tests/support/run_program.h"

#include <algorithm>
#include <cmath>
#include <fstream>

#include <gtest/gtest.h>

namespace tabard::pipeline {
namespace {

namespace fs = std::filesystem;
using overlay::RectPx;
using tests::expect_overlay_on_its_pictures_alone;
using tests::ffprobe_rows;
using tests::ink_of;
using tests::job_for;
using tests::make_footage;
using tests::Picture;
using tests::plain_look;
using tests::psnr;
using tests::read_pictures;
using tests::TemporaryFolder;
using tests::text_scene;
using tests::Where;

TEST(Film, ShowsAnOverlayRightToThePictureAtAConstantRate)
{
    TemporaryFolder const folder;
    make_footage(folder / "in.mp4", "testsrc2=s=320x180:r=30000/1001:d=1.5", {"-pix_fmt", "yuv420p", "-crf", "15"});
    SceneRun const run{from_frame(11, {30000, 1001}), from_frame(29, {30000, 1001}), text_scene()};
    auto const report = render_film(job_for(folder / "in.mp4", folder / "out.mp4", {run}));
    ASSERT_TRUE(report) << report.error().what;
    EXPECT_EQ(report->drawn_pictures, 18);
    EXPECT_TRUE(report->damage.none());
    expect_overlay_on_its_pictures_alone(folder / "in.mp4", folder / "out.mp4", run);
}

// Intervals of 25, 42 and 33 ms in turn after a long first picture, as phones make them.
TEST(Film, ShowsAnOverlayRightToThePictureAtAVariableRate)
{
    TemporaryFolder const folder;
    make_footage(
        folder / "in.mp4",
        "testsrc2=s=320x180:r=30:d=1.5,settb=1/90000,setpts='(N/30+0.2*gt(N,0)+0.009*eq(mod(N,3),2)-0.008*eq(mod("
        "N,3),1))/TB'",
        {"-vsync", "vfr", "-pix_fmt", "yuv420p", "-video_track_timescale", "90000", "-crf", "15"});
    std::vector<Picture> const pictures = read_pictures(folder / "in.mp4");
    ASSERT_GT(pictures.size(), 40u);
    ASSERT_NE(pictures[4].time - pictures[3].time, pictures[5].time - pictures[4].time);
    // In between two pictures: on the one that is on screen then. Out exactly on one. Copied and encoded whole alike.
    SceneRun const written{pictures[9].time - from_ticks(5, 1, 1000), pictures[31].time, text_scene()};
    SceneRun const seen{pictures[8].time, pictures[31].time, text_scene()};
    for (Method const method : {Method::splice_only, Method::whole}) {
        FilmJob job = job_for(folder / "in.mp4", folder / "out.mp4", {written});
        job.method = method;
        job.existing = Existing::replace;
        auto const report = render_film(job);
        ASSERT_TRUE(report) << report.error().what;
        EXPECT_EQ(report->drawn_pictures, 23);
        expect_overlay_on_its_pictures_alone(folder / "in.mp4", folder / "out.mp4", seen);
    }
}

// As screen recorders write it: nothing moves from 1 to 5 s, so one picture stays. An overlay from 2 to 3 s is seen
// from 2 to 3 s, and the still says the same.
TEST(Film, ShowsAnOverlayThatComesAndGoesWhileOnePictureStays)
{
    TemporaryFolder const folder;
    make_footage(folder / "in.mp4", "testsrc2=s=320x180:r=30:d=6",
                 {"-vf", "select='not(between(n,31,149))'", "-fps_mode", "vfr", "-pix_fmt", "yuv420p", "-crf", "15"});
    SceneRun const run{from_seconds(2), from_seconds(3), text_scene()};
    FilmJob job = job_for(folder / "in.mp4", folder / "out.mp4", {run});
    auto const report = render_film(job);
    ASSERT_TRUE(report) << report.error().what;
    EXPECT_FALSE(report->spliced);
    EXPECT_NE(report->why_whole.find("while one frame of it stays"), std::string::npos) << report->why_whole;
    EXPECT_EQ(report->drawn_pictures, 1);
    EXPECT_NE(report->notes.back().find("2 frames are shown again"), std::string::npos) << report->notes.back();

    std::vector<Picture> const before = read_pictures(folder / "in.mp4");
    std::vector<Picture> const after = read_pictures(folder / "out.mp4");
    ASSERT_EQ(after.size(), before.size() + 2);
    RectPx const ink = ink_of(probe_film(folder / "in.mp4").value(), run.scene);
    Picture const& staying = before[30];
    EXPECT_EQ(after[30].time, from_seconds(1));
    EXPECT_EQ(after[31].time, run.in);
    EXPECT_EQ(after[32].time, run.out);
    EXPECT_EQ(after[33].time, from_seconds(5));
    EXPECT_GT(psnr(staying, after[30], ink, Where::inside), 30);
    EXPECT_LT(psnr(staying, after[31], ink, Where::inside), 20);
    EXPECT_GT(psnr(staying, after[31], ink, Where::outside), 30);
    EXPECT_GT(psnr(staying, after[32], ink, Where::inside), 30);

    auto const still = [&](double seconds) {
        return render_still(job.footage, from_seconds(seconds), job.runs, job.look)->picture.pixels;
    };
    EXPECT_EQ(still(1.5), still(3));
    EXPECT_EQ(still(2), still(2.99));
    EXPECT_NE(still(1.5), still(2));
}

// A wide recording and an upright one, joined. In a picture of 160 by 96 an upright one of 96 by 160 is 96 high and
// 96 * 96 / 160 = 58 wide.
TEST(Film, ShowsPicturesOfAnotherShapeWhole)
{
    TemporaryFolder const folder;
    make_footage(folder / "wide.ts", "color=white:s=160x96:r=25:d=1", {"-pix_fmt", "yuv420p"});
    make_footage(folder / "upright.ts", "color=white:s=96x160:r=25:d=1",
                 {"-pix_fmt", "yuv420p", "-output_ts_offset", "1"});
    std::ofstream(folder / "joined.ts", std::ios::binary)
        << tests::read_text(folder / "wide.ts") << tests::read_text(folder / "upright.ts");
    auto const report =
        render_film(job_for(folder / "joined.ts", folder / "out.mp4", {{Time{0}, from_seconds(0.3), text_scene()}}));
    ASSERT_TRUE(report) << report.error().what;
    EXPECT_TRUE(std::ranges::any_of(report->notes, [](std::string const& note) {
        return note.find("another shape: they are shown whole") != std::string::npos;
    }));
    std::vector<Picture> const pictures = read_pictures(folder / "out.mp4");
    ASSERT_GE(pictures.size(), 49U); // at the join of such streams libavcodec, too, gives one fewer
    auto const white = [](Picture const& picture) {
        auto const row = picture.luma.begin() + 48 * picture.width;
        return std::count_if(row, row + picture.width, [](std::uint8_t luma) { return luma > 128; });
    };
    EXPECT_EQ(pictures[20].width, 160);
    EXPECT_EQ(white(pictures[20]), 160);
    EXPECT_NEAR(static_cast<double>(white(pictures[45])), 58, 2);
    EXPECT_LT(pictures[45].luma[48 * 160 + 40], 40); // 51 columns at each side
    EXPECT_LT(pictures[45].luma[48 * 160 + 119], 40);
    EXPECT_GT(pictures[45].luma[2 * 160 + 80], 200); // to the upper edge
}

// 60 % of the bytes of a film that carries its index in front: the header still says 4 s.
TEST(Film, CopiedByHalfIsNotRenderedWithoutItsLaterOverlays)
{
    TemporaryFolder const folder;
    make_footage(folder / "in.mp4", "testsrc2=s=320x180:r=25:d=4", {"-g", "25", "-movflags", "+faststart"});
    fs::resize_file(folder / "in.mp4", fs::file_size(folder / "in.mp4") * 6 / 10);
    FilmJob job = job_for(folder / "in.mp4", folder / "out.mp4",
                          {{from_seconds(0.5), from_seconds(1), text_scene()},
                           {from_seconds(3), from_seconds(3.5), text_scene("Later")}});
    auto const refused = render_film(job);
    ASSERT_FALSE(refused);
    EXPECT_EQ(refused.error().kind, ErrorKind::decode);
    EXPECT_NE(refused.error().what.find("though its header says 0:04.000"), std::string::npos) << refused.error().what;
    EXPECT_NE(refused.error().what.find("the overlays from 0:03.000 on would be lost"), std::string::npos);
    EXPECT_FALSE(fs::exists(folder / "out.mp4"));
    job.write.to = from_seconds(1.5); // what is there may be had
    auto const part = render_film(job);
    ASSERT_TRUE(part) << part.error().what;
    EXPECT_EQ(part->drawn_pictures, 13); // 0.5 to 1 s at 25 a second, and the picture that is on screen at 0.5
}

TEST(Film, WithoutOneOfItsOverlaysIsNeverSilent)
{
    TemporaryFolder const folder;
    make_footage(folder / "in.mp4", "testsrc2=s=320x180:r=25:d=2");
    FilmJob job = job_for(folder / "in.mp4", folder / "out.mp4", {{from_seconds(60), from_seconds(61), text_scene()}});
    auto const refused = render_film(job);
    ASSERT_FALSE(refused);
    EXPECT_NE(refused.error().what.find("not one overlay falls into this film"), std::string::npos)
        << refused.error().what;
    job.runs = SceneRuns({{from_seconds(1.5), from_seconds(2), text_scene()}});
    job.write.to = from_seconds(1);
    auto const part = render_film(job);
    ASSERT_TRUE(part) << part.error().what;
    EXPECT_EQ(part->notes, std::vector<std::string>{"There is no overlay in this part of the film."});
}

// x264 at CRF 0 with High 4:4:4 Predictive is lossless: what is compared is what went into the encoder.
TEST(Film, ChangesNoSampleOutsideTheInkedRectangle)
{
    TemporaryFolder const folder;
    make_footage(folder / "in.mp4", "testsrc2=s=320x180:r=25:d=0.4", {"-pix_fmt", "yuv420p"});
    FilmJob job = job_for(folder / "in.mp4", folder / "out.mp4", {{Time{0}, from_seconds(9), text_scene()}});
    job.method = Method::whole;
    job.write.encoder.crf = 0;
    ASSERT_TRUE(render_film(job));
    std::vector<Picture> const before = read_pictures(folder / "in.mp4");
    std::vector<Picture> const after = read_pictures(folder / "out.mp4");
    RectPx const ink = ink_of(*probe_film(folder / "in.mp4"), text_scene());
    ASSERT_EQ(before.size(), 10u);
    ASSERT_EQ(after.size(), 10u);
    for (std::size_t i = 0; i < before.size(); ++i) {
        EXPECT_EQ(psnr(before[i], after[i], ink, Where::outside), 60);
        EXPECT_LT(psnr(before[i], after[i], ink, Where::inside), 20);
    }
}

TEST(Film, ShowsTheScenesOfASectionInItsOwnCorner)
{
    TemporaryFolder const folder;
    make_footage(folder / "in.mp4", "testsrc2=s=320x180:r=25:d=0.8", {"-pix_fmt", "yuv420p"});
    overlay::Scene moved = text_scene();
    moved.layers[0].corner = overlay::Corner::bottom_right;
    ASSERT_TRUE(render_film(
        job_for(folder / "in.mp4", folder / "out.mp4",
                {{Time{0}, from_seconds(0.4), text_scene()}, {from_seconds(0.4), from_seconds(0.8), moved}})));
    std::vector<Picture> const before = read_pictures(folder / "in.mp4");
    std::vector<Picture> const after = read_pictures(folder / "out.mp4");
    auto const info = *probe_film(folder / "in.mp4");
    RectPx const here = ink_of(info, text_scene());
    RectPx const there = ink_of(info, moved);
    EXPECT_LT(there.x + there.width, here.x); // texts stand across from the chord, which is at the right there
    ASSERT_EQ(after.size(), 20u);
    for (std::size_t i = 0; i < after.size(); ++i) {
        EXPECT_LT(psnr(before[i], after[i], i < 10 ? here : there, Where::inside), 20) << i;
        EXPECT_GT(psnr(before[i], after[i], i < 10 ? there : here, Where::inside), 30) << i;
    }
}

/// The overlay as drawn, upright, against what a viewer of the film sees at its place.
void expect_upright_overlay(fs::path const& film)
{
    auto const still = render_still(film, from_seconds(0.2), SceneRuns(), plain_look());
    ASSERT_TRUE(still) << still.error().what;
    auto const info = probe_film(film);
    auto painter = overlay::Painter::create(stage_for(*info->video, plain_look()), overlay::default_theme());
    auto const drawn = painter->paint(overlay::TextCard{"Slowly at first"});
    RectPx const at = drawn->at;
    double sum = 0, mirrored_sum = 0;
    int count = 0;
    auto const green = [](std::uint32_t pixel) { return static_cast<double>(pixel >> 8 & 0xff); };
    for (int y = 0; y < at.height; ++y) {
        for (int x = 0; x < at.width; ++x) {
            std::uint32_t const expected = drawn->pixels[static_cast<std::size_t>(y * at.width + x)];
            if (expected >> 24 < 0xe0)
                continue;
            auto const seen = [&](int column) {
                return still->picture
                    .pixels[static_cast<std::size_t>((at.y + y) * still->picture.at.width + at.x + column)];
            };
            sum += std::abs(green(seen(x)) - green(expected));
            mirrored_sum += std::abs(green(seen(at.width - 1 - x)) - green(expected));
            ++count;
        }
    }
    ASSERT_GT(count, 300);
    EXPECT_LT(sum / count, 12);
    EXPECT_GT(mirrored_sum / count, 2 * sum / count); // the same words the other way round are not taken for them
}

constexpr std::int32_t kOne = 0x10000, kUnity = 0x40000000;

struct Turn {
    char const* name;
    std::array<std::int32_t, 9> matrix; // a b u c d v x y w, ISO/IEC 14496-12, 6.2.2
};
constexpr Turn kTurns[] = {
    {"90 degrees", {0, kOne, 0, -kOne, 0, 0, 0, 0, kUnity}},
    {"180 degrees", {-kOne, 0, 0, 0, -kOne, 0, 0, 0, kUnity}},
    {"270 degrees", {0, -kOne, 0, kOne, 0, 0, 0, 0, kUnity}},
    {"mirrored", {-kOne, 0, 0, 0, kOne, 0, 0, 0, kUnity}},
    {"mirrored and turned", {0, kOne, 0, kOne, 0, 0, 0, 0, kUnity}},
};

TEST(Film, KeepsOverlaysUprightInTurnedAndMirroredFootage)
{
    TemporaryFolder const folder;
    for (Turn const& turn : kTurns) {
        SCOPED_TRACE(turn.name);
        make_footage(folder / "in.mp4", "color=c=0x305070:s=320x180:r=25:d=0.4", {"-pix_fmt", "yuv420p"});
        tests::set_display_matrix(folder / "in.mp4", turn.matrix);
        ASSERT_NE(probe_film(folder / "in.mp4")->video->orientation, Orientation{});
        FilmJob job = job_for(folder / "in.mp4", folder / "out.mp4", {{Time{0}, from_seconds(9), text_scene()}});
        job.existing = Existing::replace;
        auto const report = render_film(job);
        ASSERT_TRUE(report) << report.error().what;
        EXPECT_EQ(probe_film(folder / "out.mp4")->video->orientation,
                  probe_film(folder / "in.mp4")->video->orientation);
        expect_upright_overlay(folder / "out.mp4");
    }
}

TEST(Film, LeavesNothingBehindWhenItIsStopped)
{
    TemporaryFolder const folder;
    make_footage(folder / "in.mp4", "testsrc2=s=320x180:r=25:d=2", {"-pix_fmt", "yuv420p"});
    std::stop_source stopping;
    FilmJob job = job_for(folder / "in.mp4", folder / "out.mp4", {});
    job.stop = stopping.get_token();
    job.progress = [&](double share) {
        if (share > 0.3)
            stopping.request_stop();
    };
    auto const report = render_film(job);
    ASSERT_FALSE(report);
    EXPECT_EQ(report.error().kind, ErrorKind::interrupted);
    EXPECT_EQ(std::distance(fs::directory_iterator(folder.path()), fs::directory_iterator()), 1);
}

TEST(Film, RefusesToWriteOverTheFootage)
{
    TemporaryFolder const folder;
    make_footage(folder / "in.mp4", "testsrc2=s=320x180:r=25:d=0.2", {"-pix_fmt", "yuv420p"});
    std::string const before = tests::read_text(folder / "in.mp4");
    FilmJob job = job_for(folder / "in.mp4", folder / "in.mp4", {});
    job.existing = Existing::replace;
    ASSERT_FALSE(render_film(job));
    EXPECT_EQ(tests::read_text(folder / "in.mp4"), before);
}

TEST(Film, CountsBrokenPacketsAndGoesOn)
{
    TemporaryFolder const folder;
    make_footage(folder / "in.mkv", "testsrc2=s=320x180:r=25:d=2", {"-pix_fmt", "yuv420p", "-g", "10"});
    std::string bytes = tests::read_text(folder / "in.mkv");
    int position = 0, size = 0; // the third keyframe
    ASSERT_EQ(std::sscanf(ffprobe_rows(folder / "in.mkv", "packet=pos,size").at(20).c_str(), "%d,%d", &size, &position),
              2);
    for (int i = position + size / 4; i < position + size * 3 / 4; ++i)
        bytes[static_cast<std::size_t>(i)] = static_cast<char>(i * 37);
    tests::write_text(folder / "in.mkv", bytes);
    FilmJob job = job_for(folder / "in.mkv", folder / "out.mp4", {});
    job.method = Method::whole;
    auto const report = render_film(job);
    ASSERT_TRUE(report) << report.error().what;
    EXPECT_FALSE(report->damage.none());
    EXPECT_GT(report->pictures, 40);
}

TEST(Film, CanBeAPartOfTheFootage)
{
    TemporaryFolder const folder;
    make_footage(folder / "in.mp4", "testsrc2=s=320x180:r=25:d=3", {"-pix_fmt", "yuv420p", "-g", "30"});
    FilmJob job = job_for(folder / "in.mp4", folder / "out.mp4", {});
    job.write.from = from_seconds(1.4);
    job.write.to = from_seconds(2.2);
    auto const report = render_film(job);
    ASSERT_TRUE(report) << report.error().what;
    EXPECT_EQ(report->pictures, 20); // 0.8 s at 25 a second
    std::vector<Picture> const part = read_pictures(folder / "out.mp4");
    std::vector<Picture> const whole = read_pictures(folder / "in.mp4");
    ASSERT_EQ(part.size(), 20u);
    EXPECT_EQ(part[0].time, Time{0});
    EXPECT_GT(psnr(part[0], whole[35], {}, Where::outside), 38);
}

} // namespace
} // namespace tabard::pipeline
