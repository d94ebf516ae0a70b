#include "pipeline/render/colour.h"

#include "overlay/base/precondition.h"

#include <algorithm>
#include <cmath>

namespace tabard::pipeline {
namespace {

using Rgb = std::array<double, 3>;

constexpr double kGraphicsWhite = 203.0; // cd/m2, BT.2408
constexpr double kHlgPeak = 1000.0;      // cd/m2, the nominal display of BT.2100
constexpr double kHlgSystemGamma = 1.2;  // of that display
constexpr Rgb kLuminance709 = {0.2126, 0.7152, 0.0722};
constexpr Rgb kLuminance2020 = {0.2627, 0.6780, 0.0593};

Rgb luma_weights(Matrix matrix)
{
    switch (matrix) {
    case Matrix::bt601:
        return {0.299, 0.587, 0.114};
    case Matrix::bt709:
        return kLuminance709;
    case Matrix::bt2020:
        return kLuminance2020;
    }
    PRECONDITION(!"a matrix of the enum");
    return {};
}

double dot(Rgb const& a, Rgb const& b) { return a[0] * b[0] + a[1] * b[1] + a[2] * b[2]; }

// IEC 61966-2-1.
double srgb_to_light(double v) { return v <= 0.04045 ? v / 12.92 : std::pow((v + 0.055) / 1.055, 2.4); }
double light_to_srgb(double v) { return v <= 0.0031308 ? v * 12.92 : 1.055 * std::pow(v, 1 / 2.4) - 0.055; }

// BT.2087-0: BT.709 to BT.2020 primaries, in linear light.
Rgb widen_gamut(Rgb const& light)
{
    return {dot({0.6274, 0.3293, 0.0433}, light), dot({0.0691, 0.9195, 0.0114}, light),
            dot({0.0164, 0.0880, 0.8956}, light)};
}

Rgb map(Rgb const& v, double (*f)(double)) { return {f(v[0]), f(v[1]), f(v[2])}; }
Rgb scaled(Rgb const& v, double by) { return {v[0] * by, v[1] * by, v[2] * by}; }

// The inverse of the display's OOTF (BT.2100-2 table 5), so that the graphic is seen at the light it asks for.
Rgb hlg_scene_light(Rgb const& display_light, Rgb const& luminance_weights)
{
    double const luminance = dot(luminance_weights, display_light) / kHlgPeak;
    if (luminance <= 0)
        return {};
    return scaled(display_light, std::pow(luminance, (1 - kHlgSystemGamma) / kHlgSystemGamma) / kHlgPeak);
}

} // namespace

double pq_signal(double light)
{
    constexpr double m1 = 2610.0 / 16384, m2 = 2523.0 / 4096 * 128;
    constexpr double c1 = 3424.0 / 4096, c2 = 2413.0 / 4096 * 32, c3 = 2392.0 / 4096 * 32;
    double const y = std::pow(std::clamp(light / 10'000, 0.0, 1.0), m1);
    return std::pow((c1 + c2 * y) / (1 + c3 * y), m2);
}

double hlg_signal(double scene_light)
{
    constexpr double a = 0.17883277, b = 1 - 4 * a;
    double const c = 0.5 - a * std::log(4 * a);
    double const e = std::clamp(scene_light, 0.0, 1.0);
    return e <= 1.0 / 12 ? std::sqrt(3 * e) : a * std::log(12 * e - b) + c;
}

OverlayColour::OverlayColour(ColourTags tags, int bit_depth) : m_tags(tags), m_largest_code((1 << bit_depth) - 1)
{
    PRECONDITION(bit_depth == 8 || bit_depth == 10);
}

Rgb OverlayColour::to_footage_signal(Rgb srgb) const
{
    if (is_linear())
        return srgb;
    Rgb light = map(srgb, srgb_to_light);
    if (m_tags.wide_gamut)
        light = widen_gamut(light);
    switch (m_tags.transfer) {
    case Transfer::sdr:
        return map(light, light_to_srgb);
    case Transfer::pq:
        return map(scaled(light, kGraphicsWhite), pq_signal);
    case Transfer::hlg:
        return map(hlg_scene_light(scaled(light, kGraphicsWhite), m_tags.wide_gamut ? kLuminance2020 : kLuminance709),
                   hlg_signal);
    }
    PRECONDITION(!"a transfer of the enum");
    return {};
}

YCbCr OverlayColour::convert(Rgb srgb) const
{
    Rgb const signal = to_footage_signal(srgb);
    Rgb const weights = luma_weights(m_tags.matrix);
    double const luma = dot(weights, signal);
    double const blue = (signal[2] - luma) / (2 * (1 - weights[2]));
    double const red = (signal[0] - luma) / (2 * (1 - weights[0]));
    double const zero = (m_largest_code + 1) / 2.0;
    if (m_tags.range == Range::full) {
        double const scale = m_largest_code;
        return {scale * luma, zero + scale * blue, zero + scale * red};
    }
    double const step = (m_largest_code + 1) / 256.0;
    return {step * (16 + 219 * luma), zero + step * 224 * blue, zero + step * 224 * red};
}

YCbCr OverlayColour::convert_premultiplied(std::uint32_t argb)
{
    std::uint32_t const alpha = argb >> 24;
    if (alpha == 0)
        return {};
    auto const straight = [&](int shift) { return std::min(1.0, static_cast<double>((argb >> shift) & 0xff) / alpha); };
    Rgb const srgb = {straight(16), straight(8), straight(0)};
    YCbCr samples = is_linear() ? convert(srgb) : convert_once(srgb);
    for (double& sample : samples)
        sample = std::clamp(sample, 0.0, static_cast<double>(m_largest_code)) * alpha / 255;
    return samples;
}

YCbCr const& OverlayColour::convert_once(Rgb const& srgb)
{
    auto const code = [](double v) { return static_cast<std::uint32_t>(std::lround(v * 255)); };
    std::uint32_t const key = code(srgb[0]) << 16 | code(srgb[1]) << 8 | code(srgb[2]);
    auto const [place, is_new] = m_seen.try_emplace(key);
    if (is_new)
        place->second = convert({code(srgb[0]) / 255.0, code(srgb[1]) / 255.0, code(srgb[2]) / 255.0});
    return place->second;
}

} // namespace tabard::pipeline
