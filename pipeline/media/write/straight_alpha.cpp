#include "pipeline/media/write/straight_alpha.h"

#include "overlay/base/precondition.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstring>
#include <vector>

namespace tabard::pipeline::av {
namespace {

// Transform blocks are 8 or 16 samples wide; further away a colour cannot reach the ink.
constexpr int kBleed = 16;

constexpr std::uint32_t alpha_of(std::uint32_t argb) { return argb >> 24; }

std::uint32_t straight(std::uint32_t argb)
{
    std::uint32_t const alpha = alpha_of(argb);
    if (alpha == 0 || alpha == 255)
        return argb;
    auto const channel = [&](unsigned shift) {
        return std::min<std::uint32_t>(255, (((argb >> shift) & 255) * 255 + alpha / 2) / alpha) << shift;
    };
    return alpha << 24 | channel(16) | channel(8) | channel(0);
}

// Gives transparent pixels of a line the colour of the nearest ink before them, at alpha 0. A pixel whose colour is not
// 0 has one already.
void bleed(std::uint32_t* first, std::ptrdiff_t step, int count)
{
    std::uint32_t colour = 0;
    int left = 0;
    for (int i = 0; i < count; ++i, first += step) {
        if (alpha_of(*first) != 0) {
            colour = *first & 0xffffff;
            left = kBleed;
        } else if (*first == 0 && left > 0) {
            *first = colour;
            --left;
        }
    }
}

std::vector<std::uint32_t> straight_pixels(std::span<std::uint32_t const> pixels, int width, int height, bool lossy)
{
    std::vector<std::uint32_t> result(pixels.size());
    std::transform(pixels.begin(), pixels.end(), result.begin(), straight);
    if (!lossy)
        return result;
    for (int y = 0; y < height; ++y) {
        std::uint32_t* row = result.data() + std::ptrdiff_t{y} * width;
        bleed(row, 1, width);
        bleed(row + width - 1, -1, width);
    }
    for (int x = 0; x < width; ++x) {
        bleed(result.data() + x, width, height);
        bleed(result.data() + x + std::ptrdiff_t{height - 1} * width, -width, height);
    }
    return result;
}

struct Yuv {
    float y, u, v; ///< of full scale: y in [0, 1], u and v in [-0.5, 0.5]
};

// ITU-R BT.709.
Yuv to_yuv(std::uint32_t argb)
{
    float const r = static_cast<float>((argb >> 16) & 255) / 255.0F;
    float const g = static_cast<float>((argb >> 8) & 255) / 255.0F;
    float const b = static_cast<float>(argb & 255) / 255.0F;
    float const y = 0.2126F * r + 0.7152F * g + 0.0722F * b;
    return {y, (b - y) / 1.8556F, (r - y) / 1.5748F};
}

void fill_rgb(AVFrame& frame, std::span<std::uint32_t const> pixels)
{
    bool const alpha_first = frame.format == AV_PIX_FMT_ARGB;
    for (int y = 0; y < frame.height; ++y) {
        std::uint8_t* out = frame.data[0] + std::ptrdiff_t{y} * frame.linesize[0];
        for (int x = 0; x < frame.width; ++x, out += 4) {
            std::uint32_t const argb = pixels[static_cast<std::size_t>(y) * static_cast<std::size_t>(frame.width) +
                                              static_cast<std::size_t>(x)];
            std::array<std::uint8_t, 3> const rgb = {static_cast<std::uint8_t>(argb >> 16),
                                                     static_cast<std::uint8_t>(argb >> 8),
                                                     static_cast<std::uint8_t>(argb)};
            std::memcpy(out + (alpha_first ? 1 : 0), rgb.data(), 3);
            out[alpha_first ? 0 : 3] = static_cast<std::uint8_t>(alpha_of(argb));
        }
    }
}

std::uint16_t* deep_row(AVFrame& frame, int plane, int y)
{
    return reinterpret_cast<std::uint16_t*>(frame.data[plane] + std::ptrdiff_t{y} * frame.linesize[plane]);
}

// Limited range of 10 bits: luma 64 to 940, chroma 64 to 960 about 512; alpha 0 to 1023.
void fill_444_deep(AVFrame& frame, std::span<std::uint32_t const> pixels)
{
    auto const* in = pixels.data();
    for (int y = 0; y < frame.height; ++y) {
        std::array<std::uint16_t*, 4> const rows = {deep_row(frame, 0, y), deep_row(frame, 1, y), deep_row(frame, 2, y),
                                                    deep_row(frame, 3, y)};
        for (int x = 0; x < frame.width; ++x, ++in) {
            if (*in == 0) {
                rows[0][x] = 64;
                rows[1][x] = rows[2][x] = 512;
                rows[3][x] = 0;
                continue;
            }
            Yuv const colour = to_yuv(*in);
            rows[0][x] = static_cast<std::uint16_t>(std::lround(64 + 876 * colour.y));
            rows[1][x] = static_cast<std::uint16_t>(std::lround(512 + 896 * colour.u));
            rows[2][x] = static_cast<std::uint16_t>(std::lround(512 + 896 * colour.v));
            rows[3][x] = static_cast<std::uint16_t>((alpha_of(*in) * 1023 + 127) / 255);
        }
    }
}

// One chroma sample of 4:2:0: the mean of its four pixels, weighted by alpha, so that transparent ones have no say.
void put_chroma(AVFrame& frame, std::span<std::uint32_t const> pixels, int x, int y)
{
    float u = 0;
    float v = 0;
    float weight = 0;
    for (int dy = 0; dy < 2; ++dy)
        for (int dx = 0; dx < 2; ++dx) {
            auto const column = static_cast<std::size_t>(std::min(2 * x + dx, frame.width - 1));
            auto const row = static_cast<std::size_t>(std::min(2 * y + dy, frame.height - 1));
            std::uint32_t const argb = pixels[row * static_cast<std::size_t>(frame.width) + column];
            Yuv const colour = to_yuv(argb);
            float const share = static_cast<float>(alpha_of(argb)) + 0.001F;
            u += share * colour.u;
            v += share * colour.v;
            weight += share;
        }
    frame.data[1][std::ptrdiff_t{y} * frame.linesize[1] + x] =
        static_cast<std::uint8_t>(std::lround(128 + 224 * u / weight));
    frame.data[2][std::ptrdiff_t{y} * frame.linesize[2] + x] =
        static_cast<std::uint8_t>(std::lround(128 + 224 * v / weight));
}

void fill_420(AVFrame& frame, std::span<std::uint32_t const> pixels)
{
    auto const* in = pixels.data();
    for (int y = 0; y < frame.height; ++y)
        for (int x = 0; x < frame.width; ++x, ++in) {
            frame.data[0][std::ptrdiff_t{y} * frame.linesize[0] + x] =
                *in == 0 ? 16 : static_cast<std::uint8_t>(std::lround(16 + 219 * to_yuv(*in).y));
            frame.data[3][std::ptrdiff_t{y} * frame.linesize[3] + x] = static_cast<std::uint8_t>(alpha_of(*in));
        }
    for (int y = 0; y < (frame.height + 1) / 2; ++y)
        for (int x = 0; x < (frame.width + 1) / 2; ++x)
            put_chroma(frame, pixels, x, y);
}

} // namespace

void fill_straight(AVFrame& frame, std::span<std::uint32_t const> pixels)
{
    auto const count = static_cast<std::size_t>(frame.width) * static_cast<std::size_t>(frame.height);
    PRECONDITION(pixels.empty() || pixels.size() == count);
    bool const lossy = frame.format == AV_PIX_FMT_YUVA420P || frame.format == AV_PIX_FMT_YUVA444P10;
    auto const ready =
        pixels.empty() ? std::vector<std::uint32_t>(count) : straight_pixels(pixels, frame.width, frame.height, lossy);
    if (!lossy)
        fill_rgb(frame, ready);
    else if (frame.format == AV_PIX_FMT_YUVA420P)
        fill_420(frame, ready);
    else
        fill_444_deep(frame, ready);
}

} // namespace tabard::pipeline::av
