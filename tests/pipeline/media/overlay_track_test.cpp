#include "pipeline/media/write/overlay_track.h"
#include "tests/pipeline/media/clips.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <filesystem>
#include <fstream>
#include <string>
#include <vector>

#include <fmt/format.h>
#include <gtest/gtest.h>

// Tracks of overlays alone, read back by ffprobe and ffmpeg.
namespace tabard::pipeline {
namespace {

using clips::path_for;

constexpr SizePx kSize{96, 64};
constexpr FrameRate kRate{30, 1};

// Premultiplied: an opaque orange box, a half-transparent blue one, and a soft edge in between.
std::vector<std::uint32_t> card()
{
    std::vector<std::uint32_t> pixels(static_cast<std::size_t>(kSize.width * kSize.height));
    for (int y = 16; y < 48; ++y)
        for (int x = 16; x < 80; ++x) {
            std::uint32_t const alpha = x < 46 ? 255 : x < 50 ? 192 : 128;
            auto const part = [&](std::uint32_t value) { return (value * alpha + 127) / 255; };
            std::uint32_t const argb = x < 48 ? alpha << 24 | part(240) << 16 | part(160) << 8 | part(40)
                                              : alpha << 24 | part(30) << 16 | part(60) << 8 | part(200);
            pixels[static_cast<std::size_t>(y * kSize.width + x)] = argb;
        }
    return pixels;
}

/// 25 pictures at 30 per second: 10 with the card, 10 with nothing, 5 with the card.
std::filesystem::path write_track(std::string const& name)
{
    auto const path = path_for(name);
    auto writer = OverlayTrackWriter::create(path, {overlay_codec_for(path).value(), kSize, kRate, {1, 30}});
    EXPECT_TRUE(writer) << writer.error().what;
    auto const pixels = card();
    for (int n = 0; n < 25; ++n) {
        Time const at = from_frame(n, kRate);
        Result<void> const done = n == 0 || n == 20 ? writer->write(pixels, at)
                                  : n == 10         ? writer->write({}, at)
                                                    : writer->repeat(at);
        EXPECT_TRUE(done) << done.error().what;
    }
    auto const bytes = writer->finish(from_frame(25, kRate));
    EXPECT_TRUE(bytes) << bytes.error().what;
    return path;
}

/// Bytes R, G, B, A of one picture, decoded by ffmpeg.
std::vector<unsigned char> decoded(std::string const& input, int picture)
{
    auto const raw = path_for("picture.rgba");
    clips::run(
        fmt::format("ffmpeg -nostdin -v error -y {} -vf \"select='eq(n,{})',scale=in_color_matrix=bt709\" -fps_mode "
                    "passthrough -frames:v 1 -pix_fmt rgba -f rawvideo '{}'",
                    input, picture, raw.string()));
    auto const content = clips::bytes(raw);
    return {content.begin(), content.end()};
}

void expect_pixel(std::vector<unsigned char> const& picture, int x, int y, std::array<int, 4> wanted, int tolerance)
{
    auto const at = static_cast<std::size_t>((y * kSize.width + x) * 4);
    ASSERT_LT(at + 3, picture.size());
    for (std::size_t i = 0; i < 4; ++i)
        EXPECT_NEAR(picture[at + i], wanted[i], tolerance) << "channel " << i << " at " << x << "," << y;
}

void expect_cards(std::string const& input, int tolerance)
{
    for (int const n : {9, 20}) {
        SCOPED_TRACE(n);
        auto const picture = decoded(input, n);
        expect_pixel(picture, 30, 30, {240, 160, 40, 255}, tolerance); // straight colour, as in the drawing
        expect_pixel(picture, 65, 30, {30, 60, 200, 128}, tolerance);
        EXPECT_NEAR(picture[3], 0, 2);
    }
    for (int const n : {10}) {
        auto const picture = decoded(input, n);
        for (std::size_t i = 3; i < picture.size(); i += 4)
            ASSERT_LE(picture[i], 2) << "picture " << n;
    }
}

void expect_times(std::filesystem::path const& track)
{
    auto const times = clips::picture_times(track);
    ASSERT_EQ(times.size(), 25U);
    for (int n = 0; n < 25; ++n)
        EXPECT_NEAR(std::stod(times[static_cast<std::size_t>(n)]), n / 30.0, 0.0006); // WebM counts milliseconds
}

TEST(OverlayTrack, ProRes4444HasEveryPictureWithStraightAlpha)
{
    auto const track = write_track("track.mov");
    // libavcodec 5.1 decodes ProRes 4444 to 12 bits.
    EXPECT_EQ(clips::probed(track, "v:0", "stream=codec_tag_string,pix_fmt,r_frame_rate,duration,nb_frames"),
              "ap4h yuva444p12le 30/1 0.833333 25");
    expect_times(track);
    expect_cards("-i '" + track.string() + "'", 3);
}

TEST(OverlayTrack, QuickTimeAnimationIsLosslessAndStillPicturesCostNothing)
{
    auto const path = path_for("rle.mov");
    auto writer = OverlayTrackWriter::create(path, {OverlayCodec::rle, kSize, kRate, {1, 30}});
    ASSERT_TRUE(writer);
    auto const pixels = card();
    ASSERT_TRUE(writer->write(pixels, Time{}));
    for (int n = 1; n < 40; ++n)
        ASSERT_TRUE(writer->repeat(from_frame(n, kRate)));
    ASSERT_TRUE(writer->finish(from_frame(40, kRate)));
    EXPECT_EQ(clips::probed(path, "v:0", "stream=codec_name,pix_fmt,nb_frames"), "qtrle argb 40");
    for (int const n : {0, 39}) {
        auto const picture = decoded("-i '" + path.string() + "'", n);
        expect_pixel(picture, 30, 30, {240, 160, 40, 255}, 0);
        expect_pixel(picture, 65, 30, {30, 60, 200, 128}, 1); // premultiplied bytes hold the colour to within one step
    }
    EXPECT_LT(std::filesystem::file_size(path), 12'000U); // 40 pictures of 24576 bytes
}

TEST(OverlayTrack, Vp9InWebmCarriesItsAlpha)
{
    auto const track = write_track("track.webm");
    EXPECT_EQ(clips::probed(track, "v:0", "stream=codec_name"), "vp9");
    EXPECT_EQ(clips::probed(track, "v:0", "stream_tags=alpha_mode"), "1");
    expect_times(track);
    expect_cards("-c:v libvpx-vp9 -i '" + track.string() + "'", 6); // libavcodec's own decoder leaves the alpha out
}

TEST(OverlayTrack, PngSequenceHasOneFileAPicture)
{
    auto const folder = write_track("pictures");
    std::vector<std::string> names;
    for (auto const& entry : std::filesystem::directory_iterator(folder))
        names.push_back(entry.path().filename().string());
    std::sort(names.begin(), names.end());
    ASSERT_EQ(names.size(), 25U);
    EXPECT_EQ(names.front(), "000001.png");
    EXPECT_EQ(names.back(), "000025.png");
    expect_cards("-i '" + folder.string() + "/%06d.png'", 1);
    auto const again = OverlayTrackWriter::create(folder, {OverlayCodec::png, kSize, kRate, {1, 30}});
    ASSERT_FALSE(again); // what is there is left alone
    EXPECT_EQ(again.error().kind, ErrorKind::io);
}

// Porter and Duff's "over" with straight alpha: 0.5 of blue over white is (30 + 255) / 2 ...
TEST(OverlayTrack, LaidOverFootageByAGeneralToolItLooksAsDrawn)
{
    auto const track = write_track("over.mov");
    auto const laid =
        clips::make("laid.mkv", fmt::format("-f lavfi -i color=white:s=96x64:r=30:d=1 -i '{}' -filter_complex "
                                            "\"[0]format=rgba[a];[1]scale=in_color_matrix=bt709,format=rgba[b];"
                                            "[a][b]overlay=format=rgb:alpha=straight\" -frames:v 1 "
                                            "-c:v ffv1 -pix_fmt bgr0",
                                            track.string()));
    auto const picture = decoded("-i '" + laid.string() + "'", 0);
    expect_pixel(picture, 30, 30, {240, 160, 40, 255}, 3);
    expect_pixel(picture, 65, 30, {142, 157, 227, 255}, 3); // 255 - 128/255 * (255 - c)
    expect_pixel(picture, 5, 5, {255, 255, 255, 255}, 1);
    // At the outer edge of the opaque box, no dark rim: one pixel outside, white shows.
    expect_pixel(picture, 14, 30, {255, 255, 255, 255}, 6);
    expect_pixel(picture, 17, 30, {240, 160, 40, 255}, 6);
}

TEST(OverlayTrack, NamesThatAreNoTrackAreRefused)
{
    EXPECT_FALSE(overlay_codec_for("track.mp4"));
    EXPECT_FALSE(parse_overlay_codec("h264"));
    EXPECT_EQ(parse_overlay_codec("rle").value(), OverlayCodec::rle);
}

} // namespace
} // namespace tabard::pipeline
