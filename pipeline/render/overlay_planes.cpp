#include "pipeline/render/overlay_planes.h"

#include <algorithm>
#include <cmath>

namespace tabard::pipeline {
namespace {

using overlay::RectPx;

struct Pixel {
    YCbCr samples{}; // premultiplied
    double alpha = 0;
};

// The smallest rectangle of whole chroma samples, in luma samples, that holds what of `rect` lies in the picture.
RectPx cover(RectPx rect, int width, int height, PixelLayout layout)
{
    int const step_x = 1 << layout.chroma_shift_x;
    int const step_y = 1 << layout.chroma_shift_y;
    int const left = std::max(rect.x, 0) / step_x * step_x;
    int const top = std::max(rect.y, 0) / step_y * step_y;
    int const right = std::min((std::min(rect.x + rect.width, width) + step_x - 1) / step_x * step_x, width);
    int const bottom = std::min((std::min(rect.y + rect.height, height) + step_y - 1) / step_y * step_y, height);
    return {left, top, right - left, bottom - top};
}

int halves_up(int value, int shift) { return (value + (1 << shift) - 1) >> shift; }

std::vector<Pixel> convert_pixels(overlay::Bitmap const& bitmap, RectPx area, OverlayColour& colour)
{
    std::vector<Pixel> pixels(static_cast<std::size_t>(area.width) * static_cast<std::size_t>(area.height));
    for (int y = 0; y < area.height; ++y) {
        int const from_y = area.y + y - bitmap.at.y;
        if (from_y < 0 || from_y >= bitmap.at.height)
            continue;
        for (int x = 0; x < area.width; ++x) {
            int const from_x = area.x + x - bitmap.at.x;
            if (from_x < 0 || from_x >= bitmap.at.width)
                continue;
            std::uint32_t const argb =
                bitmap.pixels[static_cast<std::size_t>(from_y) * static_cast<std::size_t>(bitmap.at.width) +
                              static_cast<std::size_t>(from_x)];
            pixels[static_cast<std::size_t>(y) * static_cast<std::size_t>(area.width) + static_cast<std::size_t>(x)] = {
                colour.convert_premultiplied(argb), static_cast<double>(argb >> 24) / 255};
        }
    }
    return pixels;
}

// Premultiplied colours are averaged like alpha: that is the sum of what each pixel adds to the sample.
Pixel average(std::vector<Pixel> const& pixels, RectPx area, int left, int top, PixelLayout layout)
{
    Pixel sum;
    int count = 0;
    for (int y = top; y < std::min(top + (1 << layout.chroma_shift_y), area.height); ++y) {
        for (int x = left; x < std::min(left + (1 << layout.chroma_shift_x), area.width); ++x, ++count) {
            Pixel const& pixel = pixels[static_cast<std::size_t>(y) * static_cast<std::size_t>(area.width) +
                                        static_cast<std::size_t>(x)];
            for (std::size_t i = 0; i < 3; ++i)
                sum.samples[i] += pixel.samples[i];
            sum.alpha += pixel.alpha;
        }
    }
    for (double& sample : sum.samples)
        sample /= count;
    sum.alpha /= count;
    return sum;
}

// A colour never exceeds what full cover of the largest code would give for its alpha, so that blending cannot
// overflow.
std::uint16_t colour_fraction(double sample, double alpha, int largest_code)
{
    double const scale = 65536.0 / (largest_code + 1);
    return static_cast<std::uint16_t>(std::lround(std::min(sample, alpha * largest_code) * scale));
}

std::uint16_t alpha_fraction(double alpha) { return static_cast<std::uint16_t>(std::lround(alpha * 0xffff)); }

} // namespace

OverlayPlanes make_overlay_planes(overlay::Bitmap const& bitmap, int width, int height, PixelLayout layout,
                                  OverlayColour& colour)
{
    OverlayPlanes planes;
    planes.layout = layout;
    RectPx const area = cover(bitmap.at, width, height, layout);
    if (bitmap.at.empty() || area.empty())
        return planes;
    planes.luma_at = area;
    planes.chroma_at = {area.x >> layout.chroma_shift_x, area.y >> layout.chroma_shift_y,
                        halves_up(area.width, layout.chroma_shift_x), halves_up(area.height, layout.chroma_shift_y)};

    std::vector<Pixel> const pixels = convert_pixels(bitmap, area, colour);
    for (Pixel const& pixel : pixels) {
        planes.luma.push_back(colour_fraction(pixel.samples[0], pixel.alpha, colour.largest_code()));
        planes.luma_alpha.push_back(alpha_fraction(pixel.alpha));
    }
    for (int y = 0; y < planes.chroma_at.height; ++y) {
        for (int x = 0; x < planes.chroma_at.width; ++x) {
            Pixel const pixel = average(pixels, area, x << layout.chroma_shift_x, y << layout.chroma_shift_y, layout);
            planes.blue.push_back(colour_fraction(pixel.samples[1], pixel.alpha, colour.largest_code()));
            planes.red.push_back(colour_fraction(pixel.samples[2], pixel.alpha, colour.largest_code()));
            planes.chroma_alpha.push_back(alpha_fraction(pixel.alpha));
        }
    }
    return planes;
}

} // namespace tabard::pipeline
