// Light or dark cards, by the footage under them: on films made for it, and on greys by arithmetic.
#include "overlay/drawing/layout.h"
#include "pipeline/cues/reader.h"
#include "pipeline/media/read/probe.h"
#include "pipeline/render/group_cache.h"
#include "pipeline/render/theme_choice.h"
#include "pipeline/timeline/placement.h"
#include "tests/support/footage.h"
#include "tests/support/opens.h"
#include "tests/support/run_program.h"

#include <algorithm>
#include <filesystem>
#include <iterator>
#include <string>
#include <vector>

#include <fmt/format.h>
#include <gtest/gtest.h>

namespace tabard::pipeline {
namespace {

namespace fs = std::filesystem;
using overlay::Colour;

// The cards of the two themes that come with the program.
constexpr Colour kLight{0xFC, 0xFA, 0xF6};
constexpr Colour kDark{0x14, 0x18, 0x1D};

constexpr Colour grey(std::uint8_t code) { return {code, code, code}; }

FootageLight all_of(Colour colour)
{
    PictureLight picture;
    picture.cells.fill(colour);
    return {{picture}};
}

CardArea const kEverywhere{Time{0}, from_seconds(1), {0, 0, 1, 1}};

// WCAG 2.x: (L + 0.05) / (L' + 0.05). The light card has a luminance of 0.957, so 3:1 is at 0.286: between the sRGB
// greys 145 (0.283) and 146 (0.287).
TEST(ThemeChoice, LeavesTheUsualCardsUntilTheyHaveLessThanThreeToOne)
{
    EXPECT_FALSE(stands_out_better(kDark, kLight, {kEverywhere}, all_of(grey(0))));
    EXPECT_FALSE(stands_out_better(kDark, kLight, {kEverywhere}, all_of(grey(118)))); // the grey card of 18 %
    EXPECT_FALSE(stands_out_better(kDark, kLight, {kEverywhere}, all_of(grey(128))));
    EXPECT_FALSE(stands_out_better(kDark, kLight, {kEverywhere}, all_of(grey(145))));
    EXPECT_TRUE(stands_out_better(kDark, kLight, {kEverywhere}, all_of(grey(147))));
    EXPECT_TRUE(stands_out_better(kDark, kLight, {kEverywhere}, all_of(grey(255))));
    EXPECT_TRUE(stands_out_better(kLight, kDark, {kEverywhere}, all_of(grey(0))));
    EXPECT_FALSE(stands_out_better(kLight, kDark, {kEverywhere}, all_of(grey(255))));
    EXPECT_FALSE(stands_out_better(kDark, kDark, {kEverywhere}, all_of(grey(0)))) << "no better than itself";
    EXPECT_FALSE(stands_out_better(kDark, kLight, {}, all_of(grey(255)))) << "no card stands anywhere";
    EXPECT_FALSE(stands_out_better(kDark, kLight, {kEverywhere}, {}));
}

// White on black is 21, white on white 1; the geometric mean of both is the root of 21.
TEST(ThemeChoice, WeighsAllCellsUnderTheCardsAlike)
{
    FootageLight footage = all_of(grey(0));
    auto& cells = footage.pictures[0].cells;
    std::fill(cells.begin(), cells.begin() + kLightCells / 2, grey(255));
    EXPECT_NEAR(contrast_under({kEverywhere}, footage, grey(255)), 4.5826, 1e-4);
    EXPECT_NEAR(contrast_under({{Time{0}, from_seconds(1), {0, 0, 1, 0.5}}}, footage, grey(255)), 1, 1e-9);
    EXPECT_NEAR(contrast_under({{Time{0}, from_seconds(1), {0, 0.5, 1, 0.5}}}, footage, grey(255)), 21, 1e-9);
}

/// A film and a lesson on it: a played part from second 0 to 4, unless `sections` says otherwise.
class CardsOnFilm : public testing::Test {
protected:
    static constexpr SizePx kSize{640, 360};

    fs::path film(std::string const& source, std::vector<std::string> words = {}) const
    {
        if (words.empty())
            words = {"-pix_fmt", "yuv420p", "-preset", "ultrafast"};
        words.insert(words.end(), {"-g", "5"});
        tests::make_footage(path(), source, words);
        return path();
    }
    static std::string plain(std::string const& colour) { return fmt::format("color={}:s=640x360:r=5:d=4", colour); }
    /// Luma of one code in all of the picture, no colour.
    static std::string luma(int code, int neutral = 128)
    {
        return plain("gray") + fmt::format(",format={},geq=lum={}:cb={}:cr={}",
                                           neutral == 128 ? "yuv420p" : "yuv420p10", code, neutral, neutral);
    }

    Timeline timeline() const
    {
        auto const reading = parse_lesson(fmt::format(R"({{"tabard": 1, "title": "Lantern", "footage": "in.mp4",
 "placement": "{}", "sections": [{}]}})",
                                                      m_placement, m_sections),
                                          "cues.json");
        for (Finding const& finding : reading.findings)
            ADD_FAILURE() << finding.what;
        return Timeline::resolve(*reading.lesson, {Time{0}, from_seconds(4), {5, 1}});
    }
    std::vector<CardArea> areas(SizePx displayed = kSize) const { return card_areas(timeline(), {}, displayed); }

    /// Whether a film gets dark cards.
    bool is_dark(fs::path const& film) const
    {
        auto const info = probe_film(film);
        EXPECT_TRUE(info);
        auto const light = measure_footage_light(*info);
        EXPECT_TRUE(light) << light.error().what;
        return light && stands_out_better(kDark, kLight, areas(info->video->displayed), *light);
    }

    fs::path path() const { return m_folder / "in.mp4"; }
    tests::TemporaryFolder m_folder;
    std::string m_placement = "top-left";
    std::string m_sections = R"({"name": "Verse", "from": "0:00", "to": "0:04", "tempo": 60, "bars": "C"})";
};

TEST_F(CardsOnFilm, AreDarkOnAWhiteWallAndLightInADarkRoom)
{
    EXPECT_TRUE(is_dark(film(plain("0xF4F2EC"))));
    EXPECT_FALSE(is_dark(film(plain("0x16130F"))));
    EXPECT_FALSE(is_dark(film(plain("0x808080"))));
}

// 3:1 is at the sRGB grey of 145.6: the code 16 + 219 * 145.6 / 255 = 141 in limited range.
TEST_F(CardsOnFilm, AreChosenByWhatTheCodesMean)
{
    std::vector<std::string> const x264{"-pix_fmt", "yuv420p", "-preset", "ultrafast", "-crf", "1"};
    auto const ranged = [&](char const* range) {
        auto words = x264;
        words.insert(words.end(), {"-color_range", range});
        return words;
    };
    EXPECT_TRUE(is_dark(film(luma(144), ranged("tv"))));
    EXPECT_FALSE(is_dark(film(luma(138), ranged("tv"))));
    EXPECT_FALSE(is_dark(film(luma(143), ranged("pc"))));
    EXPECT_TRUE(is_dark(film(luma(149), ranged("pc"))));
    std::vector<std::string> const x265{"-c:v",   "libx265", "-x265-params", "log-level=none", "-pix_fmt", "yuv420p10",
                                        "-tag:v", "hvc1",    "-preset",      "ultrafast",      "-crf",     "4"};
    EXPECT_TRUE(is_dark(film(luma(4 * 144, 512), x265)));
    EXPECT_FALSE(is_dark(film(luma(4 * 138, 512), x265)));
}

// ITU-R BT.2100: 100 cd/m2 is 0.508 of PQ, the code 64 + 876 * 0.508 = 509 in ten bits, which standard range would
// show as a grey of 2.0 % more than half. Beside graphics white of 203 cd/m2 (BT.2408) it is 0.49: bright. 20 cd/m2 is
// 0.350, the code 371, and a tenth of it.
TEST_F(CardsOnFilm, AreChosenByTheLightOfHdr)
{
    auto const hdr = [](char const* transfer) {
        return std::vector<std::string>{
            "-c:v",        "libx265",  "-x265-params", "log-level=none", "-pix_fmt", "yuv420p10",        "-tag:v",
            "hvc1",        "-preset",  "ultrafast",    "-crf",           "4",        "-color_primaries", "bt2020",
            "-colorspace", "bt2020nc", "-color_trc",   transfer};
    };
    EXPECT_TRUE(is_dark(film(luma(509, 512), hdr("smpte2084"))));
    EXPECT_FALSE(is_dark(film(luma(371, 512), hdr("smpte2084"))));
    EXPECT_TRUE(is_dark(film(luma(721, 512), hdr("arib-std-b67")))) << "graphics white, 75 % of HLG";
}

TEST_F(CardsOnFilm, AreChosenByWhatIsUnderThemAlone)
{
    overlay::Stage stage;
    stage.display_width = stage.raster_width = kSize.width;
    stage.display_height = stage.raster_height = kSize.height;
    auto const painted = [&](overlay::Corner corner, char const* wall, char const* under) {
        stage.corner = corner;
        overlay::Layout const layout = overlay::make_layout(stage);
        std::string source = plain(wall);
        for (overlay::Box const& box : {layout.chord, layout.next, layout.ribbon})
            source += fmt::format(",drawbox=x={:.0f}:y={:.0f}:w={:.0f}:h={:.0f}:color={}:t=fill", box.x, box.y,
                                  box.width, box.height, under);
        return film(source);
    };
    EXPECT_TRUE(is_dark(painted(overlay::Corner::top_left, "black", "white")));
    EXPECT_FALSE(is_dark(painted(overlay::Corner::top_left, "white", "black")));
    m_placement = "top-right";
    EXPECT_TRUE(is_dark(painted(overlay::Corner::top_right, "black", "white")));
    EXPECT_FALSE(is_dark(painted(overlay::Corner::top_right, "white", "black")));
    m_placement = "top-left";
    m_sections = R"({"name": "Verse", "from": "0:00", "to": "0:04", "tempo": 60, "bars": "C",
                     "placement": "top-right"})";
    EXPECT_TRUE(is_dark(painted(overlay::Corner::top_right, "black", "white"))) << "the section's own placement";
}

TEST_F(CardsOnFilm, AreChosenByTheSectionsThatHaveSome)
{
    film(plain("black") + ",drawbox=w=iw:h=ih:color=white:t=fill:enable='gte(t,2)'");
    EXPECT_FALSE(is_dark(path())) << "half black, half white is no reason to leave the usual ones";
    m_sections = R"({"name": "Talk", "from": "0:00", "to": "0:02"},
                    {"name": "Shapes", "from": "0:02", "to": "0:04", "show": [{"chord": "C", "from": "0:02"}]})";
    EXPECT_TRUE(is_dark(path()));
    m_sections = R"({"name": "Shapes", "from": "0:00", "to": "0:02", "show": [{"chord": "C", "from": "0:00"}]},
                    {"name": "Talk", "from": "0:02", "to": "0:04"})";
    EXPECT_FALSE(is_dark(path()));
}

// ISO/IEC 14496-12: the matrix (0 1 0, -1 0 0, 0 0 1) turns a picture by 90 degrees clockwise, so that its left edge is
// on top.
TEST_F(CardsOnFilm, TurnedFilmsAreMeasuredUpright)
{
    film(plain("black") + ",drawbox=w=iw/4:h=ih:color=white:t=fill");
    constexpr std::int32_t kOne = 1 << 16;
    tests::set_display_matrix(path(), {0, kOne, 0, -kOne, 0, 0, 0, 0, 1 << 30});
    auto const light = measure_footage_light(*probe_film(path()));
    ASSERT_TRUE(light);
    for (PictureLight const& picture : light->pictures) {
        for (int i = 0; i < kLightCells; ++i) {
            int const row = i / kLightSide;
            if (row == kLightSide / 4)
                continue; // beside the edge
            EXPECT_EQ(picture.cells[static_cast<std::size_t>(i)].green > 128, row < kLightSide / 4) << i;
        }
    }
}

// Twenty seconds have four pictures that stand alone: one every five.
TEST_F(CardsOnFilm, AFilmIsSeenAtSeveralPlacesOrWhereItCanBe)
{
    tests::make_footage(path(), "color=white:s=320x180:r=5:d=20", {"-pix_fmt", "yuv420p", "-g", "25"});
    auto const light = measure_footage_light(*probe_film(path()));
    ASSERT_TRUE(light);
    std::vector<Time> times;
    std::ranges::transform(light->pictures, std::back_inserter(times), &PictureLight::time);
    std::ranges::sort(times);
    EXPECT_EQ(times, (std::vector{from_seconds(0), from_seconds(5), from_seconds(10), from_seconds(15)}));
    tests::make_footage(path(), "color=white:s=320x180:r=5:d=20", {"-pix_fmt", "yuv420p", "-g", "1000"});
    EXPECT_EQ(measure_footage_light(*probe_film(path()))->pictures.size(), 1u);
}

TEST_F(CardsOnFilm, OtherContainersAreMeasuredLikeMp4)
{
    film(plain("0xF4F2EC"));
    auto const as_mp4 = measure_footage_light(*probe_film(path()));
    ASSERT_TRUE(as_mp4);
    for (std::string const name : {"in.mkv", "in.ts", "in.mov", "in.avi", "in.flv"}) {
        auto const run = tests::run_program({"ffmpeg", "-v", "error", "-i", path(), "-c", "copy", m_folder / name});
        ASSERT_EQ(run.exit, 0) << run.err;
        auto const light = measure_footage_light(*probe_film(m_folder / name));
        ASSERT_TRUE(light) << name << ": " << light.error().what;
        EXPECT_GE(light->pictures.size(), 2u) << name; // where a search lands is the container's business
        EXPECT_EQ(light->pictures[0].cells, as_mp4->pictures[0].cells) << name;
    }
}

TEST_F(CardsOnFilm, WhatCannotBeDecodedDecidesNothing)
{
    film(plain("white"));
    auto const info = probe_film(path());
    std::string bytes = tests::read_text(path());
    for (std::string const& row : tests::ffprobe_rows(path(), "packet=size,pos")) {
        std::size_t const at = std::stoul(row.substr(row.find(',') + 1));
        std::fill_n(bytes.begin() + static_cast<std::ptrdiff_t>(at), std::stoul(row), '\xff');
    }
    tests::write_text(path(), bytes);
    EXPECT_FALSE(measure_footage_light(*info));
}

class KeptLight : public CardsOnFilm {
protected:
    KeptLight() { film("testsrc2=s=320x180:r=5:d=4"); }
    Result<FootageLight> light() const { return footage_light(*probe_film(path()), m_folder / "cache"); }
    fs::path entry() const { return fs::directory_iterator(m_folder / "cache")->path(); }
};

TEST_F(KeptLight, IsNotMeasuredAgain)
{
    auto const info = probe_film(path());
    tests::OpenCount opens(path());
    auto const first = footage_light(*info, m_folder / "cache");
    ASSERT_TRUE(first);
    EXPECT_EQ(opens.so_far(), 2) << "its fingerprint, its pictures";
    EXPECT_EQ(*footage_light(*info, m_folder / "cache"), *first);
    EXPECT_EQ(opens.so_far(), 3) << "its fingerprint";
    EXPECT_EQ(*footage_light(*info, std::nullopt), *first);
    EXPECT_EQ(opens.so_far(), 4) << "without a cache: its pictures";
}

TEST_F(KeptLight, IsMeasuredAgainWhereTheEntryIsDamagedOrForeign)
{
    auto const first = light();
    ASSERT_TRUE(first);
    std::string bytes = tests::read_text(entry());
    bytes[bytes.size() / 2] = static_cast<char>(bytes[bytes.size() / 2] ^ 0x55);
    tests::write_text(entry(), bytes);
    EXPECT_EQ(*light(), *first);
    std::string const key = entry().stem();
    for (std::size_t const size : {0, 1, 5000}) { // sound entries of something else
        fs::remove(entry());
        std::vector<std::byte> const other(size, std::byte{255});
        ASSERT_TRUE(GroupCache(m_folder / "cache").put(key, other));
        EXPECT_EQ(*light(), *first) << size;
    }
}

TEST_F(KeptLight, IsOfOneFilmAlone)
{
    auto const first = light();
    film(plain("white"));
    auto const other = light();
    ASSERT_TRUE(first && other);
    EXPECT_NE(*first, *other);
    EXPECT_EQ(std::distance(fs::directory_iterator(m_folder / "cache"), {}), 2);
}

} // namespace
} // namespace tabard::pipeline
