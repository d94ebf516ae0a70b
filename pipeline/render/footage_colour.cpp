#include "pipeline/render/footage_colour.h"

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

constexpr double kPqM1 = 2610.0 / 16384, kPqM2 = 2523.0 / 4096 * 128;
constexpr double kPqC1 = 3424.0 / 4096, kPqC2 = 2413.0 / 4096 * 32, kPqC3 = 2392.0 / 4096 * 32;
constexpr double kHlgA = 0.17883277, kHlgB = 1 - 4 * kHlgA, kHlgC = 0.55991073;

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

Rgb narrow_gamut(Rgb const& light)
{
    return {dot({1.6605, -0.5877, -0.0728}, light), dot({-0.1246, 1.1330, -0.0084}, light),
            dot({-0.0182, -0.1006, 1.1187}, light)};
}

// BT.2100-2 table 4, the EOTF, in cd/m2.
double pq_light(double signal)
{
    double const e = std::pow(std::clamp(signal, 0.0, 1.0), 1 / kPqM2);
    return 10'000 * std::pow(std::max(e - kPqC1, 0.0) / (kPqC2 - kPqC3 * e), 1 / kPqM1);
}

// BT.2100-2 table 5, the inverse OETF.
double hlg_scene(double signal)
{
    double const e = std::clamp(signal, 0.0, 1.0);
    return e <= 0.5 ? e * e / 3 : (std::exp((e - kHlgC) / kHlgA) + kHlgB) / 12;
}

Rgb hlg_display_light(Rgb const& scene_light, Rgb const& luminance_weights)
{
    double const luminance = dot(luminance_weights, scene_light);
    if (luminance <= 0)
        return {};
    return scaled(scene_light, std::pow(luminance, kHlgSystemGamma - 1) * kHlgPeak);
}

// The inverse of the display's OOTF (BT.2100-2 table 5), so that the graphic is seen at the light it asks for.
Rgb hlg_scene_light(Rgb const& display_light, Rgb const& luminance_weights)
{
    double const luminance = dot(luminance_weights, display_light) / kHlgPeak;
    if (luminance <= 0)
        return {};
    return scaled(display_light, std::pow(luminance, (1 - kHlgSystemGamma) / kHlgSystemGamma) / kHlgPeak);
}

// A footage's R'G'B' as sRGB, not yet held in range.
Rgb to_standard_signal(Rgb const& signal, ColourTags tags)
{
    if (tags.transfer == Transfer::sdr && !tags.wide_gamut)
        return signal;
    Rgb light;
    switch (tags.transfer) {
    case Transfer::sdr:
        light = map(signal, srgb_to_light);
        break;
    case Transfer::pq:
        light = scaled(map(signal, pq_light), 1 / kGraphicsWhite);
        break;
    case Transfer::hlg:
        light = scaled(hlg_display_light(map(signal, hlg_scene), tags.wide_gamut ? kLuminance2020 : kLuminance709),
                       1 / kGraphicsWhite);
        break;
    }
    return map(tags.wide_gamut ? narrow_gamut(light) : light, light_to_srgb);
}

} // namespace

double pq_signal(double light)
{
    double const y = std::pow(std::clamp(light / 10'000, 0.0, 1.0), kPqM1);
    return std::pow((kPqC1 + kPqC2 * y) / (1 + kPqC3 * y), kPqM2);
}

double hlg_signal(double scene_light)
{
    double const e = std::clamp(scene_light, 0.0, 1.0);
    return e <= 1.0 / 12 ? std::sqrt(3 * e) : kHlgA * std::log(12 * e - kHlgB) + kHlgC;
}

Rgb to_srgb(YCbCr const& samples, ColourTags tags, int bit_depth)
{
    double const codes = 1 << bit_depth;
    bool const full = tags.range == Range::full;
    double const luma = full ? samples[0] / (codes - 1) : (samples[0] * 256 / codes - 16) / 219;
    double const chroma_span = full ? codes - 1 : codes * 224 / 256;
    double const blue = (samples[1] - codes / 2) / chroma_span;
    double const red = (samples[2] - codes / 2) / chroma_span;
    Rgb const weights = luma_weights(tags.matrix);
    Rgb signal = {luma + 2 * (1 - weights[0]) * red, 0, luma + 2 * (1 - weights[2]) * blue};
    signal[1] = (luma - weights[0] * signal[0] - weights[2] * signal[2]) / weights[1];
    return map(to_standard_signal(signal, tags), [](double v) { return std::clamp(v, 0.0, 1.0); });
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
