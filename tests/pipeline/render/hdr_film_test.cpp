// Films of high dynamic range from end to end: what the written file says of itself, and how bright our white is in it.
#include "tests/pipeline/render/film_for_test.h"
#include "tests/support/footage.h"
#include "tests/support/run_program.h"

#include <algorithm>
#include <array>
#include <cstring>
#include <filesystem>
#include <string>
#include <utility>
#include <vector>

#include <gtest/gtest.h>

namespace tabard::pipeline {
namespace {

namespace fs = std::filesystem;
using overlay::RectPx;
using tests::TemporaryFolder;

// A mastering display of BT.2020 primaries, D65, 0.005 to 1000 cd/m2; light of 1000 and on average 400 cd/m2: in the
// units of the SEI messages (1/50000 and 1/10000) for x265, in plain numbers for SVT-AV1.
constexpr char const* kForX265 = "log-level=none:hdr10=1:master-display=G(8500,39850)B(6550,2300)R(35400,14600)"
                                 "WP(15635,16450)L(10000000,50):max-cll=1000,400";
constexpr char const* kForSvt = "mastering-display=G(0.17,0.797)B(0.131,0.046)R(0.708,0.292)WP(0.3127,0.329)"
                                "L(1000,0.005):content-light=1000,400";
struct Fact {
    char const* name;
    double value;
    double tolerance; // AV1 counts chromaticities in 1/65536
};
constexpr Fact kMastering[] = {
    {"red_x", 0.708, 2e-5},          {"red_y", 0.292, 2e-5},         {"green_x", 0.17, 2e-5},
    {"green_y", 0.797, 2e-5},        {"blue_x", 0.131, 2e-5},        {"blue_y", 0.046, 2e-5},
    {"white_point_x", 0.3127, 2e-5}, {"white_point_y", 0.329, 2e-5}, {"max_luminance", 1000, 0.1},
    {"min_luminance", 0.005, 1e-5},  {"max_content", 1000, 0},       {"max_average", 400, 0}};

/// The first value that ffprobe prints under `name`, beside the stream or beside its pictures.
double probed_number(std::string const& text, std::string const& name)
{
    std::size_t const at = text.find("\n" + name + "=");
    if (at == std::string::npos)
        return -1;
    double value = 0, divisor = 1;
    std::sscanf(text.c_str() + at + name.size() + 2, "%lf/%lf", &value, &divisor);
    return value / divisor;
}

void expect_mastering_metadata(fs::path const& film)
{
    auto const run = tests::run_program({"ffprobe", "-v", "error", "-select_streams", "v", "-show_streams",
                                         "-show_frames", "-read_intervals", "%+#1", film});
    for (Fact const& fact : kMastering)
        EXPECT_NEAR(probed_number(run.out, fact.name), fact.value, fact.tolerance) << fact.name << " of " << film;
}

overlay::Theme white_theme()
{
    overlay::Theme theme = overlay::default_theme();
    theme.card = {255, 255, 255, 255};
    return theme;
}

std::uint16_t median(std::vector<std::uint16_t> samples)
{
    auto const middle = samples.begin() + static_cast<std::ptrdiff_t>(samples.size() / 2);
    std::nth_element(samples.begin(), middle, samples.end());
    return *middle;
}

/// Codes of Y, Cb and Cr that most of a card has in the first picture, as the ffmpeg program decodes it.
std::array<int, 3> card_codes(fs::path const& film, RectPx card)
{
    TemporaryFolder const folder;
    auto const run = tests::run_program({"ffmpeg", "-v", "error", "-i", film, "-frames:v", "1", "-f", "rawvideo",
                                         "-pix_fmt", "yuv420p10le", folder / "raw"});
    EXPECT_EQ(run.err, "");
    std::string const raw = tests::read_text(folder / "raw");
    constexpr int kWidth = 320, kHeight = 180;
    EXPECT_EQ(raw.size(), 2u * kWidth * kHeight * 3 / 2);
    std::array<int, 3> codes{};
    std::size_t begin = 0;
    for (std::size_t plane = 0; plane < 3; ++plane) {
        int const shrink = plane == 0 ? 1 : 2;
        std::vector<std::uint16_t> samples;
        for (int y = card.y / shrink; y < (card.y + card.height) / shrink; ++y)
            for (int x = card.x / shrink; x < (card.x + card.width) / shrink; ++x) {
                std::uint16_t sample = 0;
                std::memcpy(&sample, raw.data() + begin + 2 * static_cast<std::size_t>(y * kWidth / shrink + x), 2);
                samples.push_back(sample);
            }
        codes[plane] = median(std::move(samples));
        begin += 2 * static_cast<std::size_t>(kWidth / shrink) * static_cast<std::size_t>(kHeight / shrink);
    }
    return codes;
}

struct Film {
    char const* name;
    VideoCodec codec;
    char const* file;
    char const* transfer;
    // Report ITU-R BT.2408, table 1: graphics white is 58 % of PQ (203 cd/m2) and 75 % of HLG; in ten bits of narrow
    // range 64 + 876 times that, where 203 cd/m2 is 0.5807 of PQ: 573 and 721.
    int white;
    VideoCodec written_codec;
    char const* written;
};
constexpr Film kFilms[] = {
    {"HLG in HEVC", VideoCodec::hevc, "in.mp4", "arib-std-b67", 721, VideoCodec::hevc, "out.mp4"},
    {"PQ in HEVC", VideoCodec::hevc, "in.mov", "smpte2084", 573, VideoCodec::hevc, "out.mov"},
    {"PQ in AV1", VideoCodec::av1, "in.mp4", "smpte2084", 573, VideoCodec::av1, "out.mp4"},
    {"PQ in AV1, written as HEVC", VideoCodec::av1, "in.mp4", "smpte2084", 573, VideoCodec::hevc, "out.mp4"},
    {"HLG in AV1", VideoCodec::av1, "in.mkv", "arib-std-b67", 721, VideoCodec::av1, "out.mkv"},
    {"PQ in VP9", VideoCodec::vp9, "in.webm", "smpte2084", 573, VideoCodec::vp9, "out.webm"},
    {"HLG in VP9", VideoCodec::vp9, "in.webm", "arib-std-b67", 721, VideoCodec::vp9, "out.webm"},
};

FilmJob hdr_job(fs::path const& footage, fs::path const& target, VideoCodec codec, std::vector<SceneRun> runs)
{
    FilmJob job = tests::job_for(footage, target, std::move(runs));
    job.look = {white_theme()};
    job.write.container = *container_for(target);
    job.write.encoder = {};
    job.write.encoder.codec = codec;
    job.write.encoder.preset = fastest_preset(codec);
    job.write.encoder.crf = 4; // at 20, x265's fastest preset moves the white by 9 of 1023 codes
    return job;
}

void make_hdr_footage(fs::path const& path, VideoCodec codec, char const* transfer)
{
    if (codec == VideoCodec::vp9) { // the ffmpeg program writes no such metadata beside the track
        fs::path const other = path.parent_path() / "other.mp4";
        make_hdr_footage(other, VideoCodec::hevc, transfer);
        auto const report = render_film(hdr_job(other, path, codec, {}));
        ASSERT_TRUE(report) << report.error().what;
        return;
    }
    std::vector<std::string> words = {"-pix_fmt", "yuv420p10le", "-color_primaries", "bt2020",       "-color_trc",
                                      transfer,   "-colorspace", "bt2020nc",         "-color_range", "tv"};
    if (codec == VideoCodec::hevc)
        words.insert(words.end(), {"-c:v", "libx265", "-preset", "ultrafast", "-x265-params", kForX265});
    else
        words.insert(words.end(), {"-c:v", "libsvtav1", "-preset", "12", "-svtav1-params", kForSvt});
    tests::make_footage(path, "testsrc2=s=320x180:r=25:d=0.12", words);
}

std::vector<std::string> picture_times(fs::path const& film)
{
    auto times = tests::ffprobe_rows(film, "packet=pts_time");
    std::sort(times.begin(), times.end());
    return times;
}

std::string form_and_tags(fs::path const& film)
{
    std::string row =
        tests::ffprobe_rows(film, "stream=pix_fmt,color_range,color_space,color_transfer,color_primaries").at(0);
    row.erase(row.find_last_not_of(',') + 1); // side data of the stream leaves an empty column
    return row;
}

/// Everything an HDR film must keep, of `film` made from `footage` with the words in white_theme().
void expect_hdr_film(fs::path const& footage, fs::path const& film, int white)
{
    EXPECT_EQ(form_and_tags(film), form_and_tags(footage));
    EXPECT_EQ(picture_times(film), picture_times(footage));
    expect_mastering_metadata(film);
    auto compositor = Compositor::create(*probe_film(footage)->video, {white_theme()});
    RectPx const card = compositor->prepare(tests::text_scene()).layers().at(0).planes->luma_at;
    auto const codes = card_codes(film, card);

    EXPECT_NEAR(codes[0], white, 2); // a wrong transfer is off by 150, eight bits taken for ten by hundreds
    EXPECT_NEAR(codes[1], 512, 2);
    EXPECT_NEAR(codes[2], 512, 2);
}

TEST(HdrFilm, KeepsDepthTagsAndMasteringMetadataAndShowsGraphicsWhite)
{
    for (Film const& film : kFilms) {
        SCOPED_TRACE(film.name);
        TemporaryFolder const folder;
        make_hdr_footage(folder / film.file, film.codec, film.transfer);
        expect_mastering_metadata(folder / film.file);
        auto const report = render_film(hdr_job(folder / film.file, folder / film.written, film.written_codec,
                                                {{Time{0}, from_seconds(9), tests::text_scene()}}));
        ASSERT_TRUE(report) << report.error().what;
        EXPECT_FALSE(report->spliced);
        expect_hdr_film(folder / film.file, folder / film.written, film.white);
    }
}

} // namespace
} // namespace tabard::pipeline
