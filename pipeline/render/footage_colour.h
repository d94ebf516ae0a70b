#pragma once
#include "pipeline/media/picture.h"

#include <array>
#include <cstdint>
#include <unordered_map>

namespace tabard::pipeline {

/// Y', Cb, Cr as sample values at the footage's bit depth, not rounded: white in 8-bit limited range is {235, 128,
/// 128}.
using YCbCr = std::array<double, 3>;

/// Turns the overlays' colours (sRGB) into the footage's samples.
/// Matrix and range after BT.601-7, BT.709-6, BT.2020-2 and BT.2100-2. Standard range: sRGB code values are taken as
/// the footage's own R'G'B', as display-referred graphics are in practice. HDR: graphics white is shown at 203 cd/m2
/// (BT.2408), which is 58 % PQ, or 75 % HLG on the nominal 1000 cd/m2 display. Wide gamut: colours move from BT.709 to
/// BT.2020 primaries in linear light (BT.2087), so that red stays the same red.
class OverlayColour {
public:
    /// bit_depth  8 or 10
    OverlayColour(ColourTags tags, int bit_depth);

    /// A straight colour, each of R', G', B' in [0, 1].
    YCbCr convert(std::array<double, 3> srgb) const;

    /// A pixel of a Bitmap (premultiplied ARGB32), to samples premultiplied by its alpha: each is at most alpha times
    /// the largest code.
    YCbCr convert_premultiplied(std::uint32_t argb);

    int largest_code() const { return m_largest_code; }

private:
    bool is_linear() const { return m_tags.transfer == Transfer::sdr && !m_tags.wide_gamut; }
    std::array<double, 3> to_footage_signal(std::array<double, 3> srgb) const;
    YCbCr const& convert_once(std::array<double, 3> const& srgb);

    ColourTags m_tags;
    int m_largest_code;
    std::unordered_map<std::uint32_t, YCbCr> m_seen; ///< straight 8-bit colours already converted, where that is costly
};

/// The way back, for looking at a picture: samples at `bit_depth` as sRGB, each in [0, 1]. HDR shows graphics white as
/// white and cuts off what is brighter.
std::array<double, 3> to_srgb(YCbCr const& samples, ColourTags tags, int bit_depth);

/// BT.2100-2 table 4: light in cd/m2, [0, 10000], to the PQ signal in [0, 1].
double pq_signal(double candela_per_square_metre);

/// BT.2100-2 table 5: scene light in [0, 1] to the HLG signal in [0, 1].
double hlg_signal(double scene_light);

} // namespace tabard::pipeline
