// Blending against the overlay filter of libavfilter, in the one mode where that is right on planar pictures:
// straight alpha. (FFmpeg 5.1 mixes premultiplied planar overlays wrongly.)
#include "pipeline/render/blend.h"
#include "tests/pipeline/render/picture_for_test.h"
#include "tests/support/run_program.h"

#include <algorithm>
#include <filesystem>
#include <fstream>
#include <string>
#include <vector>

#include <fmt/format.h>
#include <gtest/gtest.h>

namespace tabard::pipeline {
namespace {

constexpr int kSize = 64;

void write_bytes(std::filesystem::path const& path, std::vector<std::byte> const& bytes, bool append = false)
{
    std::ofstream file(path, std::ios::binary | (append ? std::ios::app : std::ios::trunc));
    file.write(reinterpret_cast<char const*>(bytes.data()), static_cast<std::streamsize>(bytes.size()));
}

// A soft-edged disc of orange: every alpha, one colour.
std::uint32_t disc_pixel(int x, int y, bool premultiply)
{
    double const distance = std::hypot(x - 31.5, y - 31.5);
    int const alpha = static_cast<int>(std::clamp(32 - distance, 0.0, 16.0) * 255 / 16);
    return premultiply ? premultiplied(240, 120, 20, alpha)
                       : static_cast<std::uint32_t>(alpha) << 24 | 240u << 16 | 120u << 8 | 20u;
}

OwnedPicture libavfilter_overlay(OwnedPicture const& under, char const* format)
{
    tests::TemporaryFolder const folder;
    for (std::size_t plane = 0; plane < 3; ++plane)
        write_bytes(folder / "under", under.bytes(plane), plane > 0);
    std::vector<std::byte> straight;
    for (int y = 0; y < kSize; ++y)
        for (int x = 0; x < kSize; ++x)
            for (int shift : {0, 8, 16, 24})
                straight.push_back(static_cast<std::byte>(disc_pixel(x, y, false) >> shift));
    write_bytes(folder / "over", straight);
    auto const ran = tests::run_program(
        {"ffmpeg",
         "-v",
         "error",
         "-y",
         "-f",
         "rawvideo",
         "-pix_fmt",
         format,
         "-s",
         "64x64",
         "-i",
         folder / "under",
         "-f",
         "rawvideo",
         "-pix_fmt",
         "bgra",
         "-s",
         "64x64",
         "-i",
         folder / "over",
         "-filter_complex",
         fmt::format("[1]scale=out_color_matrix=bt709:flags=accurate_rnd+full_chroma_int,format=yuva{}[o];[0][o]"
                     "overlay=format={}:alpha=straight",
                     format + 3, std::string(format) == "yuv444p" ? "yuv444" : "yuv420"),
         "-frames:v",
         "1",
         "-f",
         "rawvideo",
         "-pix_fmt",
         format,
         folder / "result"});
    EXPECT_EQ(ran.exit, 0) << ran.err;
    OwnedPicture result = under;
    std::ifstream file(folder / "result", std::ios::binary);
    for (std::size_t plane = 0; plane < 3; ++plane)
        file.read(reinterpret_cast<char*>(result.bytes(plane).data()),
                  static_cast<std::streamsize>(result.bytes(plane).size()));
    EXPECT_TRUE(file.good());
    return result;
}

int largest_difference(OwnedPicture const& a, OwnedPicture const& b, std::size_t plane)
{
    int largest = 0;
    for (int y = 0; y < a.height(plane); ++y)
        for (int x = 0; x < a.width(plane); ++x)
            largest = std::max(largest, std::abs(a.get(plane, x, y) - b.get(plane, x, y)));
    return largest;
}

void compare(PixelLayout layout, char const* format, int luma_tolerance, int chroma_tolerance)
{
    OwnedPicture under(kSize, kSize, layout);
    under.fill(90, 110, 150);
    for (int y = 0; y < kSize; ++y)
        for (int x = 0; x < kSize; ++x)
            under.set(0, x, y, 30 + 3 * x);
    OwnedPicture ours = under;
    overlay::Bitmap disc{{0, 0, kSize, kSize}, {}};
    for (int y = 0; y < kSize; ++y)
        for (int x = 0; x < kSize; ++x)
            disc.pixels.push_back(disc_pixel(x, y, true));
    OverlayColour colour({Matrix::bt709, Range::limited}, 8);
    blend(ours.view(), make_overlay_planes(disc, kSize, kSize, layout, colour));
    OwnedPicture const theirs = libavfilter_overlay(under, format);
    EXPECT_LE(largest_difference(ours, theirs, 0), luma_tolerance);
    EXPECT_LE(largest_difference(ours, theirs, 1), chroma_tolerance);
    EXPECT_LE(largest_difference(ours, theirs, 2), chroma_tolerance);
    EXPECT_GT(largest_difference(under, theirs, 0), 40); // the filter did lay something over it
}

TEST(Blend, MatchesTheOverlayFilterOnFullChroma) { compare({8, 0, 0}, "yuv444p", 2, 2); }

// Both average alpha over the block; they differ in how colour is averaged where alpha changes.
TEST(Blend, MatchesTheOverlayFilterOnHalvedChroma) { compare({8, 1, 1}, "yuv420p", 2, 3); }

} // namespace
} // namespace tabard::pipeline
