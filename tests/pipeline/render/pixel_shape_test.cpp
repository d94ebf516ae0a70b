#include "pipeline/media/write/copy_film.h"
#include "pipeline/render/overlay_film.h"
#include "tests/pipeline/render/film_for_test.h"
#include "tests/support/footage.h"
#include "tests/support/run_program.h"

#include <filesystem>
#include <span>
#include <string>
#include <vector>

#include <fmt/format.h>
#include <gtest/gtest.h>

// Samples of a film need not be square. The container says their shape, or the pictures do, or both and not the same: a
// film shows what the footage shows, as ffprobe reads both.
namespace tabard::tests {
namespace {

namespace fs = std::filesystem;

struct PixelShape {
    char const* name;
    char const* in_pictures;  ///< sample aspect in the parameter sets; empty: nothing is said
    char const* in_container; ///< aspect of the whole picture; empty: nothing is said
};

// 160 x 120 samples of 4:3 are a picture of 16:9.
constexpr PixelShape kShapes[] = {
    {"said by nothing", "", ""},
    {"said by the container", "", "16:9"},
    {"said in the pictures", "16/11", ""},
    {"said by both", "4/3", "16:9"},
    {"square in the pictures, wide in the container", "1/1", "16:9"},
    {"wide in the pictures, wider in the container", "16/11", "2:1"},
    {"wide in the pictures, tall in the container", "16/11", "1:1"},
};

/// 1.2 s of pictures in three groups; `codec` as the filter of parameter sets calls it: h264 or hevc.
fs::path make_shaped(TemporaryFolder const& folder, PixelShape const& shape, std::string const& codec,
                     std::string const& file)
{
    fs::path const plain = folder / (codec + ".mp4");
    if (!fs::exists(plain))
        make_footage(plain, "testsrc2=s=160x120:r=10:d=1.2",
                     {"-vf", "setsar=0", "-pix_fmt", "yuv420p", "-g", "4", "-c:v",
                      codec == "h264" ? "libx264" : "libx265", "-preset", "ultrafast", "-tag:v",
                      codec == "h264" ? "avc1" : "hvc1"});
    fs::path const footage = folder / file;
    std::vector<std::string> words = {"ffmpeg", "-v", "error", "-y", "-i", plain.string(), "-c", "copy"};
    if (*shape.in_pictures)
        words.insert(words.end(), {"-bsf:v", codec + "_metadata=sample_aspect_ratio=" + shape.in_pictures});
    if (*shape.in_container)
        words.insert(words.end(), {"-aspect", shape.in_container});
    words.push_back(footage.string());
    ProgramRun const run = run_program(words);
    EXPECT_EQ(run.exit, 0) << run.err;
    return footage;
}

/// Width over height of the picture as shown; that of the samples where ffprobe knows of no shape.
double shown_aspect(fs::path const& film)
{
    int width = 0, height = 0, num = 0, den = 0;
    auto const row = ffprobe_rows(film, "stream=width,height,sample_aspect_ratio").at(0);
    int const fields = std::sscanf(row.c_str(), "%d,%d,%d:%d", &width, &height, &num, &den);
    EXPECT_TRUE(fields == 2 || fields == 4) << row;
    return fields == 4 && num > 0 ? 1.0 * width * num / (1.0 * height * den) : 1.0 * width / height;
}

struct Way {
    char const* name;
    char const* target;
    void (*ask)(FilmJob&);
};

constexpr Way kWays[] = {
    {"by itself", "made.mp4", [](FilmJob&) {}},
    {"by itself to MOV", "made.mov", [](FilmJob&) {}},
    {"by itself to Matroska", "made.mkv", [](FilmJob&) {}},
    {"whole", "made.mp4", [](FilmJob& job) { job.method = Method::whole; }},
    {"as HEVC", "made.mov", [](FilmJob& job) { job.write.encoder.codec = VideoCodec::hevc; }},
    {"as VP9", "made.webm",
     [](FilmJob& job) {
         job.write.encoder.codec = VideoCodec::vp9;
         job.write.encoder.preset = "8";
     }},
    {"a draft", "made.mp4",
     [](FilmJob& job) {
         job.scaled = SizePx{96, 72};
     }},
    {"a draft of a rounded size", "made.mkv",
     [](FilmJob& job) {
         job.scaled = SizePx{72, 64};
     }},
    {"a part", "made.mp4", [](FilmJob& job) { job.write.from = from_seconds(0.5); }},
};

void expect_kept(fs::path const& footage, double aspect, Way const& way, bool spliced)
{
    SCOPED_TRACE(way.name);
    fs::path const target = footage.parent_path() / way.target;
    FilmJob job = job_for(footage, target, {{from_seconds(0.4), from_seconds(0.5), text_scene()}});
    job.existing = Existing::replace;
    job.write.container = *container_for(target);
    way.ask(job);
    auto const report = render_film(job);
    ASSERT_TRUE(report) << report.error().what;
    EXPECT_EQ(report->spliced, spliced && std::string(way.name).starts_with("by itself")) << report->why_whole;
    // Matroska says a shape in whole pixels.
    bool const whole_pixels = target.extension() == ".mkv" || target.extension() == ".webm";
    EXPECT_NEAR(shown_aspect(target), aspect, whole_pixels ? 1.0 / 60 : 1e-9);
}

TEST(PixelShape, OfTheFootageIsThatOfTheFilmInEveryWay)
{
    TemporaryFolder const folder;
    for (char const* file : {"in.mp4", "in.mkv"}) {
        for (PixelShape const& shape : kShapes) {
            SCOPED_TRACE(fmt::format("{}, {}", file, shape.name));
            fs::path const footage = make_shaped(folder, shape, "h264", file);
            double const aspect = shown_aspect(footage);
            if (*shape.in_container) {
                int num = 0, den = 1;
                std::sscanf(shape.in_container, "%d:%d", &num, &den);
                EXPECT_NEAR(aspect, 1.0 * num / den, 0.01); // the container wins
            }
            bool const few = std::string(file) == "in.mkv"; // what differs is how they are read
            for (Way const& way : std::span(kWays).first(few ? 4 : std::size(kWays)))
                expect_kept(footage, aspect, way, true);
        }
    }
}

TEST(PixelShape, OfHevcFootageIsThatOfTheFilm)
{
    TemporaryFolder const folder;
    for (PixelShape const& shape : kShapes) {
        SCOPED_TRACE(shape.name);
        fs::path const footage = make_shaped(folder, shape, "hevc", "in.mov");
        double const aspect = shown_aspect(footage);
        expect_kept(footage, aspect, kWays[0], false);
        expect_kept(footage, aspect, kWays[4], false);
    }
}

TEST(PixelShape, OfCopiedFilmsAndOfTracksOfOverlaysIsThatOfTheFootage)
{
    TemporaryFolder const folder;
    for (PixelShape const& shape : kShapes) {
        SCOPED_TRACE(shape.name);
        fs::path const footage = make_shaped(folder, shape, "h264", "in.mp4");
        double const aspect = shown_aspect(footage);
        auto const info = probe_film(footage);
        WriteOptions options;
        options.container = Container::mov;
        auto const copied = copy_film(folder / "copied.mov", *info, options);
        ASSERT_TRUE(copied) << copied.error().what;
        EXPECT_NEAR(shown_aspect(folder / "copied.mov"), aspect, 1e-9);

        FilmJob job = job_for(footage, folder / "track.mov", {{from_seconds(0.4), from_seconds(0.5), text_scene()}});
        job.existing = Existing::replace;
        ASSERT_TRUE(render_overlay_film(job, OverlayCodec::rle));
        EXPECT_NEAR(shown_aspect(folder / "track.mov"), aspect, 1.0 / 120); // square pixels, whole ones
    }
}

} // namespace
} // namespace tabard::tests
