// A film whose overlays a viewer switches: what a player that draws with libass shows is what our own pictures show,
// and the film itself is the footage. The player here is FFmpeg's subtitles filter.
#include "pipeline/media/read/picture_times.h"
#include "pipeline/render/switchable_film.h"
#include "tests/overlay/drawing/samples.h"
#include "tests/pipeline/render/film_for_test.h"
#include "tests/support/footage.h"
#include "tests/support/run_program.h"

#include <algorithm>
#include <array>
#include <csignal>
#include <cstdlib>
#include <filesystem>
#include <string>
#include <thread>
#include <vector>

#include <fmt/format.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <sys/wait.h>
#include <unistd.h>

namespace tabard::pipeline {
namespace {

namespace fs = std::filesystem;
namespace samples = overlay::samples;
using overlay::kFullLevel;
using overlay::Scene;
using testing::Contains;
using testing::ElementsAre;
using testing::HasSubstr;
using testing::IsEmpty;
using testing::SizeIs;
using tests::TemporaryFolder;

SwitchableJob job_for(fs::path const& footage, fs::path const& target, std::vector<SceneRun> runs)
{
    SwitchableJob job;
    job.footage = footage;
    job.target = target;
    job.tracks = {{"Full shapes", SceneRuns(std::move(runs)), tests::plain_look(), true}};
    return job;
}

/// RGB pictures, eight bits a channel, rows tightly packed.
struct Shots {
    int width = 0;
    int height = 0;
    std::string bytes;

    std::size_t count() const { return bytes.size() / size(); }
    std::size_t size() const { return static_cast<std::size_t>(width) * static_cast<std::size_t>(height) * 3; }
    int at(std::size_t picture, int x, int y, int channel) const
    {
        auto const pixel = static_cast<std::size_t>(std::clamp(y, 0, height - 1)) * static_cast<std::size_t>(width) +
                           static_cast<std::size_t>(std::clamp(x, 0, width - 1));
        return static_cast<unsigned char>(bytes[picture * size() + pixel * 3 + static_cast<std::size_t>(channel)]);
    }
};

/// Every picture of a film as ffmpeg's filters show it, on the film's own clock.
Shots shots_of(fs::path const& film, std::string const& filter, SizePx size)
{
    TemporaryFolder const folder;
    auto const run = tests::run_program({"ffmpeg", "-v", "error", "-copyts", "-i", film, "-vf", filter, "-f",
                                         "rawvideo", "-vsync", "passthrough", "-pix_fmt", "rgb24", folder / "raw"});
    EXPECT_EQ(run.exit, 0) << run.err;
    return {size.width, size.height, tests::read_text(folder / "raw")};
}

Shots plain(fs::path const& film, SizePx size) { return shots_of(film, "format=gbrp", size); }
Shots played(fs::path const& film, SizePx size, int track = 0)
{
    return shots_of(film, fmt::format("format=gbrp,subtitles={}:si={}", film.string(), track), size);
}

/// Our own drawing of a scene over a picture of the film.
void lay_over(Shots& shots, std::size_t picture, Scene const& scene, overlay::Painter& painter)
{
    for (overlay::Layer const& layer : scene.layers) {
        auto const bitmap = painter.paint(layer.content, layer.corner);
        for (int y = 0; y < bitmap->at.height; ++y) {
            for (int x = 0; x < bitmap->at.width; ++x) {
                std::uint32_t const top = bitmap->pixels[static_cast<std::size_t>(y * bitmap->at.width + x)];
                auto const at = picture * shots.size() +
                                static_cast<std::size_t>((bitmap->at.y + y) * shots.width + bitmap->at.x + x) * 3;
                for (int channel = 0; channel < 3; ++channel) {
                    double const level = static_cast<double>(layer.level) / kFullLevel;
                    double const colour = (top >> (16 - 8 * channel) & 0xff) * level;
                    auto& below = shots.bytes[at + static_cast<std::size_t>(channel)];
                    below = static_cast<char>(
                        std::lround(colour + static_cast<unsigned char>(below) * (1 - (top >> 24) / 255.0 * level)));
                }
            }
        }
    }
}

struct Range {
    int least;
    int most;
};
Range around(Shots const& shots, std::size_t picture, int x, int y, int channel)
{
    Range range{255, 0};
    for (int dy = -2; dy <= 2; ++dy) {
        for (int dx = -2; dx <= 2; ++dx) {
            int const code = shots.at(picture, x + dx, y + dy, channel);
            range = {std::min(range.least, code), std::max(range.most, code)};
        }
    }
    return range;
}

/// How two pictures differ: in flat areas by codes; elsewhere, by how far one's colour is from all that the other has
/// within two pixels (a thing that is missing, or has another colour); and whether any part of them fits better when it
/// is moved by two pixels or more.
struct Difference {
    int flat = 0;
    int elsewhere = 0;
    std::vector<std::string> moved; ///< where
};

constexpr int kTile = 48;
constexpr int kReach = 3;

std::int64_t misfit(Shots const& a, std::size_t picture_a, Shots const& b, std::size_t picture_b, PointPx tile,
                    PointPx move)
{
    std::int64_t sum = 0;
    for (int y = tile.y; y < tile.y + kTile; ++y)
        for (int x = tile.x; x < tile.x + kTile; ++x)
            sum += std::abs(a.at(picture_a, x, y, 1) - b.at(picture_b, x + move.x, y + move.y, 1));
    return sum;
}

bool fits_better_moved(Shots const& a, std::size_t picture_a, Shots const& b, std::size_t picture_b, PointPx tile)
{
    std::int64_t const in_place = misfit(a, picture_a, b, picture_b, tile, {0, 0});
    // A code a pixel is what softened edges differ by; a digit at another place would cost several.
    if (in_place < kTile * kTile)
        return false;
    for (int dy = -kReach; dy <= kReach; ++dy)
        for (int dx = -kReach; dx <= kReach; ++dx)
            if (std::max(std::abs(dx), std::abs(dy)) >= 2 &&
                misfit(a, picture_a, b, picture_b, tile, {dx, dy}) * 10 < in_place * 9)
                return true;
    return false;
}

Difference compare(Shots const& a, std::size_t picture_a, Shots const& b, std::size_t picture_b)
{
    Difference worst;
    for (int y = 0; y < a.height; ++y) {
        for (int x = 0; x < a.width; ++x) {
            for (int channel = 0; channel < 3; ++channel) {
                int const in_a = a.at(picture_a, x, y, channel);
                int const in_b = b.at(picture_b, x, y, channel);
                if (in_a == in_b)
                    continue;
                Range const near_a = around(a, picture_a, x, y, channel);
                Range const near_b = around(b, picture_b, x, y, channel);
                if (near_b.most - near_b.least <= 1)
                    worst.flat = std::max(worst.flat, std::abs(in_a - in_b));
                worst.elsewhere = std::max({worst.elsewhere, near_b.least - in_a, in_a - near_b.most,
                                            near_a.least - in_b, in_b - near_a.most});
            }
        }
    }
    for (int y = kReach; y + kTile + kReach <= a.height; y += kTile)
        for (int x = kReach; x + kTile + kReach <= a.width; x += kTile)
            if (fits_better_moved(a, picture_a, b, picture_b, {x, y}))
                worst.moved.push_back(fmt::format("at {}, {}", x, y));
    return worst;
}

constexpr int kCodes = 4;
/// Lines and letters thinner than a pixel come out paler or darker as they meet the pixels, with every renderer.
constexpr int kThinCodes = 110; // a fret on a light card has 114 to lose

void expect_alike(Difference const& difference)
{
    EXPECT_LE(difference.flat, kCodes);
    EXPECT_LE(difference.elsewhere, kThinCodes);
    EXPECT_THAT(difference.moved, IsEmpty());
}

/// Each picture of `film` that shows its overlays in full, or none, is ours.
void expect_our_pictures(fs::path const& footage, fs::path const& film, SwitchableTrack const& track, int number,
                         SizePx stored)
{
    auto coded = CodedFilm::open(footage);
    ASSERT_TRUE(coded) << coded.error().what;
    auto const times = read_picture_times(*coded);
    VideoTrack const& video = coded->video();
    SceneRuns const runs = track.runs.on_pictures(*times, video.start + video.duration);
    Shots ours = plain(film, stored);
    Shots const theirs = played(film, stored, number);
    ASSERT_EQ(ours.count(), times->size());
    ASSERT_EQ(theirs.count(), times->size());
    auto painter = overlay::Painter::create(stage_for(video, track.look), track.look.theme);
    int compared = 0;
    for (std::size_t i = 0; i < times->size(); ++i) {
        SceneRun const* const run = runs.at((*times)[i]);
        SceneRun const* const before = i > 0 ? runs.at((*times)[i - 1]) : nullptr;
        SceneRun const* const after = i + 1 < times->size() ? runs.at((*times)[i + 1]) : nullptr;
        bool const fading =
            run && std::ranges::any_of(run->scene.layers, [](auto const& layer) { return layer.level < kFullLevel; });
        bool const inside = run == before && run == after; // nothing changes beside it
        if (fading || (inside && i % 5 != 0))
            continue;
        if (run)
            lay_over(ours, i, run->scene, *painter);
        SCOPED_TRACE(fmt::format("picture {}", i));
        expect_alike(compare(theirs, i, ours, i));
        compared += run != nullptr;
    }
    EXPECT_GT(compared, 3);
    EXPECT_FALSE(painter->failure());
}

std::vector<SceneRun> every_kind_of_card()
{
    Scene lit = samples::playing();
    std::get<overlay::StrumLane>(lit.layers[3].content).lit_step = 6;
    std::get<overlay::BarRibbon>(lit.layers[4].content) = samples::ribbon(6, 2);
    std::vector<SceneRun> runs;
    Time at = from_seconds(0.2);
    for (Scene const& scene : {samples::playing(), lit, samples::anchored(), samples::everything(), samples::talk()}) {
        runs.push_back({at, at + from_seconds(0.3), scene});
        at += from_seconds(0.3);
    }
    return runs;
}

struct Shape {
    char const* name;
    char const* source;
    std::vector<std::string> words;
    SizePx stored;
};

TEST(SwitchableFilm, ShowsEveryKindOfCardAsOurOwnPicturesDo)
{
    std::vector<Shape> const shapes{
        {"wide", "color=c=0x46586a:s=1280x720:r=25:d=2", {}, {1280, 720}},
        {"tall", "color=c=0xa8b0a0:s=540x960:r=30000/1001:d=2", {}, {540, 960}},
        {"anamorphic", "color=c=0x303030:s=720x576:r=25:d=2", {"-vf", "setsar=64/45"}, {720, 576}}};
    for (Shape const& shape : shapes) {
        for (bool const left_handed : {false, true}) {
            SCOPED_TRACE(fmt::format("{}{}", shape.name, left_handed ? ", left-handed" : ""));
            TemporaryFolder const folder;
            std::vector<std::string> words{"-pix_fmt", "yuv420p", "-preset", "ultrafast"};
            words.insert(words.end(), shape.words.begin(), shape.words.end());
            tests::make_footage(folder / "in.mp4", shape.source, words);
            SwitchableJob job = job_for(folder / "in.mp4", folder / "out.mkv", every_kind_of_card());
            job.tracks[0].look.stage.left_handed = left_handed;
            job.tracks[0].look.stage.capo = left_handed ? 4 : 0;
            auto const report = render_switchable(job);
            ASSERT_TRUE(report) << report.error().what;
            EXPECT_THAT(report->notes, IsEmpty());
            expect_our_pictures(folder / "in.mp4", folder / "out.mkv", job.tracks[0], 0, shape.stored);
        }
    }
}

// What the comparison above would say if something were wrong.
TEST(SwitchableFilm, IsComparedSoThatAMovedAMissingAndAPaleThingAreFound)
{
    SizePx const size{640, 360};
    Shots const grey{size.width, size.height, std::string(std::size_t{640} * 360 * 3, '\x60')};
    VideoTrack video;
    video.stored = video.displayed = size;
    auto painter = overlay::Painter::create(stage_for(video, tests::plain_look()), overlay::default_theme());
    Shots right = grey;
    lay_over(right, 0, samples::playing(), *painter);
    Shots moved = grey;
    moved.bytes =
        right.bytes.substr(right.bytes.size() - 9) + right.bytes.substr(0, right.bytes.size() - 9); // 3 pixels
    EXPECT_THAT(compare(moved, 0, right, 0).moved, SizeIs(testing::Gt(20u)));
    Shots missing = grey;
    Scene scene = samples::playing();
    std::get<overlay::ChordCard>(scene.layers[0].content).label.bass.clear();
    lay_over(missing, 0, scene, *painter);
    EXPECT_GT(compare(missing, 0, right, 0).elsewhere, kThinCodes);
    Shots pale = grey;
    scene = samples::playing();
    scene.layers[4].level = 7; // of 8
    lay_over(pale, 0, scene, *painter);
    EXPECT_GT(compare(pale, 0, right, 0).flat, kCodes);
    expect_alike(compare(right, 0, right, 0));
}

std::vector<SceneRun> two_cards()
{
    return {{from_seconds(0.3), from_seconds(0.8), samples::playing()},
            {from_seconds(0.8), from_seconds(1.3), samples::talk()}};
}

struct Footage {
    char const* name;
    std::vector<std::string> words;
    bool same_packets; ///< else the container frames them anew: start codes, transport headers
};

// Hashes of packets, and their times, as ffprobe prints them.
TEST(SwitchableFilm, HasTheFootagesPicturesAndSoundBitByBitWhateverTheyAre)
{
    std::vector<Footage> const footage{
        {"b_pictures.mp4", {"-pix_fmt", "yuv420p", "-bf", "3"}, true},
        {"open_groups.mkv", {"-pix_fmt", "yuv420p", "-x264-params", "open-gop=1:keyint=10"}, true},
        {"interlaced.mov", {"-pix_fmt", "yuv420p", "-flags", "+ildct+ilme"}, true},
        {"ten_bit.mp4", {"-c:v", "libx265", "-pix_fmt", "yuv420p10le", "-x265-params", "log-level=none"}, true},
        {"vp9.webm", {"-c:v", "libvpx-vp9", "-c:a", "libopus", "-deadline", "realtime"}, true},
        {"prores.mov", {"-c:v", "prores_ks", "-c:a", "pcm_s24le"}, true},
        {"broadcast.ts", {"-pix_fmt", "yuv420p"}, false},
    };
    for (Footage const& kind : footage) {
        SCOPED_TRACE(kind.name);
        TemporaryFolder const folder;
        std::vector<std::string> words{"-f", "lavfi", "-i", "sine=r=48000:d=1.6", "-ac", "2"};
        words.insert(words.end(), kind.words.begin(), kind.words.end());
        fs::path const in = folder / kind.name;
        tests::make_footage(in, "testsrc2=s=320x180:r=25:d=1.6", words);
        auto const report = render_switchable(job_for(in, folder / "out.mkv", two_cards()));
        ASSERT_TRUE(report) << report.error().what;
        EXPECT_EQ(report->pictures, 40);
        for (char const* stream : {"v:0", "a:0"}) {
            auto before = tests::packet_hashes(in, stream);
            auto const after = tests::packet_hashes(folder / "out.mkv", stream);
            // Matroska has no time before 0, where the sound's priming lies.
            if (before.size() > after.size() && *stream == 'a')
                before.erase(before.begin(),
                             before.begin() + static_cast<std::ptrdiff_t>(before.size() - after.size()));
            ASSERT_LE(tests::packet_hashes(in, stream).size() - after.size(), *stream == 'a' ? 1u : 0u);
            if (kind.same_packets) {
                EXPECT_TRUE(before == after);
            }
        }
        auto const shown_before = tests::ffprobe_rows(in, "frame=best_effort_timestamp_time");
        auto const shown_after = tests::ffprobe_rows(folder / "out.mkv", "frame=best_effort_timestamp_time");
        ASSERT_EQ(shown_before.size(), shown_after.size());
        // A transport stream's clock starts anywhere.
        double const zero = kind.same_packets ? 0 : std::stod(shown_before[0]) - std::stod(shown_after[0]);
        for (std::size_t i = 0; i < shown_before.size(); ++i)
            EXPECT_NEAR(std::stod(shown_after[i]), std::stod(shown_before[i]) - zero, 0.00101) << i;
    }
}

TEST(SwitchableFilm, NamesItsTracksAndFlagsOneAsTheDefault)
{
    TemporaryFolder const folder;
    tests::make_footage(folder / "in.mp4", "testsrc2=s=320x180:r=25:d=1.6", {"-pix_fmt", "yuv420p"});
    SwitchableJob job = job_for(folder / "in.mp4", folder / "out.mkv", two_cards());
    auto easy = two_cards();
    std::get<overlay::ChordCard>(easy[0].scene.layers[0].content).shape = samples::kC;
    job.tracks.push_back({"Easy shapes", SceneRuns(easy), job.tracks[0].look, false});
    job.tracks.push_back(job.tracks[0]);
    job.tracks[2].title = "Left-handed";
    job.tracks[2].look.stage.left_handed = true;
    job.tracks[0].shown_by_default = false;
    auto const report = render_switchable(job);
    ASSERT_TRUE(report) << report.error().what;
    EXPECT_THAT(tests::ffprobe_rows(folder / "out.mkv",
                                    "stream=codec_name:stream_disposition=default,forced:stream_tags=title", "s"),
                ElementsAre("ass,0,0,Full shapes", "ass,0,0,Easy shapes", "ass,1,0,Left-handed"));
    ASSERT_THAT(report->tracks, SizeIs(3));
    EXPECT_TRUE(report->tracks[2].shown_by_default);
    // The mirrored shape of the other hand stands in its track, and only there.
    EXPECT_NE(
        compare(played(folder / "out.mkv", {320, 180}, 0), 12, played(folder / "out.mkv", {320, 180}, 2), 12).elsewhere,
        0);
}

TEST(SwitchableFilm, HasNoTrackThatShowsTheSameAsAnotherAndSaysSo)
{
    TemporaryFolder const folder;
    tests::make_footage(folder / "in.mp4", "testsrc2=s=320x180:r=25:d=1.6", {"-pix_fmt", "yuv420p"});
    SwitchableJob job = job_for(folder / "in.mp4", folder / "out.mkv", two_cards());
    job.tracks[0].shown_by_default = false;
    job.tracks.push_back({"Easy shapes", SceneRuns(two_cards()), job.tracks[0].look, true});
    auto const report = render_switchable(job);
    ASSERT_TRUE(report) << report.error().what;
    EXPECT_THAT(report->notes, ElementsAre(HasSubstr("There is no track \"Easy shapes\"")));
    EXPECT_THAT(tests::ffprobe_rows(folder / "out.mkv", "stream_disposition=default:stream_tags=title", "s"),
                ElementsAre("1,Full shapes"));
}

TEST(SwitchableFilm, ComesBeforeTheFootagesOwnCaptionsAndKeepsThem)
{
    TemporaryFolder const folder;
    tests::write_text(folder / "said.srt", "1\n00:00:00,500 --> 00:00:01,000\nThis is C\n");
    tests::make_footage(
        folder / "in.mkv", "testsrc2=s=320x180:r=25:d=1.6",
        {"-i", folder / "said.srt", "-pix_fmt", "yuv420p", "-c:s", "srt", "-disposition:s:0", "default"});
    ASSERT_THAT(tests::ffprobe_rows(folder / "in.mkv", "stream_disposition=default", "s"), ElementsAre("1"));
    auto const report = render_switchable(job_for(folder / "in.mkv", folder / "out.mkv", two_cards()));
    ASSERT_TRUE(report) << report.error().what;
    EXPECT_THAT(report->notes, Contains(HasSubstr("no longer shown by default")));
    EXPECT_THAT(tests::ffprobe_rows(folder / "out.mkv", "stream=codec_name:stream_disposition=default", "s"),
                ElementsAre("subrip,0", "ass,1"));
}

// A picture on the way of a fade is not compared; the first in full and the last before it are.
TEST(SwitchableFilm, IsNeverLateAndCountsFromTheFilmsOwnZero)
{
    for (char const* rate : {"25", "30000/1001", "60", "120", "7"}) {
        SCOPED_TRACE(rate);
        TemporaryFolder const folder;
        tests::make_footage(folder / "in.mkv", fmt::format("color=c=0x46586a:s=320x180:r={}:d=1.6", rate),
                            {"-f", "lavfi", "-i", "sine=d=2", "-filter:v", "setpts=PTS+0.5/TB", "-pix_fmt", "yuv420p",
                             "-fps_mode", "passthrough"});
        auto runs = two_cards();
        for (SceneRun& run : runs)
            run = {run.in + from_seconds(0.5), run.out + from_seconds(0.5), run.scene};
        SwitchableJob const job = job_for(folder / "in.mkv", folder / "out.mkv", runs);
        auto const report = render_switchable(job);
        ASSERT_TRUE(report) << report.error().what;
        EXPECT_GT(std::stod(tests::ffprobe_rows(folder / "out.mkv", "frame=best_effort_timestamp_time")[0]), 0.4);
        expect_our_pictures(folder / "in.mkv", folder / "out.mkv", job.tracks[0], 0, {320, 180});
    }
}

TEST(SwitchableFilm, FadesAsTheScenesDo)
{
    TemporaryFolder const folder;
    tests::make_footage(folder / "in.mp4", "color=c=black:s=320x180:r=50:d=1.2", {"-pix_fmt", "yuv420p"});
    std::vector<SceneRun> runs;
    auto const show = [&](double in, double out, int level) {
        Scene scene = tests::text_scene(" ");
        scene.layers[0].level = level;
        runs.push_back({from_seconds(in), from_seconds(out), scene});
    };
    show(0.20, 0.25, 2);
    show(0.25, 0.30, 4);
    show(0.30, 0.35, 6);
    show(0.35, 0.80, 8);
    show(0.80, 0.85, 6);
    show(0.85, 0.90, 4);
    show(0.90, 0.95, 2);
    ASSERT_TRUE(render_switchable(job_for(folder / "in.mp4", folder / "out.mkv", runs)));
    Shots const shots = played(folder / "out.mkv", {320, 180});
    overlay::RectPx const ink = tests::ink_of(*probe_film(folder / "in.mp4"), runs[3].scene);
    auto const brightness = [&](double time) {
        return shots.at(static_cast<std::size_t>(std::lround(time * 50)), ink.x + ink.width / 2, ink.y + ink.height / 2,
                        0);
    };
    int const full = brightness(0.5);
    EXPECT_GT(full, 230); // the card, nearly white
    EXPECT_EQ(brightness(0.18), 0);
    EXPECT_EQ(brightness(0.36), full);
    EXPECT_EQ(brightness(0.78), full);
    EXPECT_EQ(brightness(0.96), 0);
    for (SceneRun const& run : runs) // on the first picture of each step, within half a step
        EXPECT_NEAR(brightness(to_seconds(run.in)), full * run.scene.layers[0].level / 8.0, full / 8.0 + 2)
            << to_seconds(run.in);
}

TEST(SwitchableFilm, IsRefusedWhereAPlayerCouldNotShowIt)
{
    TemporaryFolder const folder;
    tests::make_footage(folder / "in.mp4", "testsrc2=s=320x180:r=25:d=1.6", {"-pix_fmt", "yuv420p"});
    for (char const* name : {"out.mp4", "out.mov", "out.webm"}) {
        auto const refused = render_switchable(job_for(folder / "in.mp4", folder / name, two_cards()));
        ASSERT_FALSE(refused);
        EXPECT_THAT(refused.error().what, HasSubstr("write a .mkv file"));
        EXPECT_FALSE(fs::exists(folder / name));
    }
    auto const empty = render_switchable(job_for(folder / "in.mp4", folder / "out.mkv", {}));
    ASSERT_FALSE(empty);
    EXPECT_THAT(empty.error().what, HasSubstr("no overlay"));
    tests::set_display_matrix(folder / "in.mp4", {0, 1 << 16, 0, -(1 << 16), 0, 0, 180 << 16, 0, 1 << 30});
    auto const turned = render_switchable(job_for(folder / "in.mp4", folder / "out.mkv", two_cards()));
    ASSERT_FALSE(turned);
    EXPECT_EQ(turned.error().kind, ErrorKind::unsupported);
    EXPECT_THAT(turned.error().what, HasSubstr("turned or mirrored"));
    EXPECT_FALSE(fs::exists(folder / "out.mkv"));
}

// Braces and backslashes are commands in such a track; other scripts are joined and ordered by some players only.
TEST(SwitchableFilm, ShowsTextsThatPlayersWouldTakeForSomethingElse)
{
    TemporaryFolder const folder;
    tests::make_footage(folder / "in.mp4", "color=c=0x46586a:s=640x360:r=25:d=2.8", {"-pix_fmt", "yuv420p"});
    std::vector<SceneRun> runs;
    for (char const* words :
         {"{\\pos(0,0)} and \\N here", "AVAVA Tomato, Wy. fi ffl", "\u05e9\u05dc\u05d5\u05dd 12",
          "\u0395\u03bb\u03bb\u03ac\u03b4\u03b1 \u0434\u0430", "e\u0301 A\u030a \u266f7", "  spaced   out  "}) {
        Time const in = from_seconds(0.2) + from_seconds(0.4) * static_cast<int>(runs.size());
        runs.push_back({in, in + from_seconds(0.4), tests::text_scene(words)});
    }
    SwitchableJob const job = job_for(folder / "in.mp4", folder / "out.mkv", runs);
    auto const report = render_switchable(job);
    ASSERT_TRUE(report) << report.error().what;
    EXPECT_THAT(report->notes, IsEmpty());
    expect_our_pictures(folder / "in.mp4", folder / "out.mkv", job.tracks[0], 0, {640, 360});
}

// At any moment: the film whole, or nothing of it.
TEST(KilledSwitchableFilm, LeavesNothingBehind)
{
    TemporaryFolder const folder;
    tests::make_footage(folder / "in.mp4", "testsrc2=s=640x360:r=25:d=4", {"-pix_fmt", "yuv420p", "-crf", "4"});
    SwitchableJob job = job_for(folder / "in.mp4", folder / "out.mkv", two_cards());
    job.existing = Existing::replace;
    auto const begin = std::chrono::steady_clock::now();
    ASSERT_TRUE(render_switchable(job));
    std::chrono::duration<double> const whole_time = std::chrono::steady_clock::now() - begin;
    std::string const reference = tests::read_text(folder / "out.mkv");
    int killed = 0;
    for (int round = 0; round < 8; ++round) {
        fs::remove(folder / "out.mkv");
        pid_t const child = ::fork();
        if (child == 0)
            ::_exit(render_switchable(job) ? 0 : 1);
        std::this_thread::sleep_for(whole_time * (round + 0.5) / 9);
        ::kill(child, SIGKILL);
        int status = 0;
        ::waitpid(child, &status, 0);
        killed += WIFSIGNALED(status);
        if (fs::exists(folder / "out.mkv")) {
            ASSERT_TRUE(tests::read_text(folder / "out.mkv") == reference);
        }
    }
    ASSERT_TRUE(render_switchable(job)); // takes away what was left under temporary names
    EXPECT_TRUE(tests::read_text(folder / "out.mkv") == reference);
    EXPECT_EQ(std::distance(fs::directory_iterator(folder.path()), fs::directory_iterator()), 2);
    EXPECT_GT(killed, 0);
}

} // namespace
} // namespace tabard::pipeline
