#pragma once
#include "pipeline/sound/spectral_peaks.h"

#include <array>
#include <vector>

namespace tabard::pipeline {

constexpr double kChromaStep = static_cast<double>(kChromaHop) / kListenRate; ///< seconds between frames

using PitchClasses = std::array<float, 12>; ///< 0 = C ... 11 = B

/// How strongly each pitch class sounds in one frame (chroma), each half of unit length, or zero in silence.
struct Chroma {
    PitchClasses treble{};
    PitchClasses bass{};
};

/// Scales to unit length; what is zero stays zero.
void normalise(PitchClasses& classes);
float dot(PitchClasses const& a, PitchClasses const& b);

/// How far the instrument is from A4 = 440 Hz, in semitones from -0.5 to 0.5: the weighted circular mean of the
/// deviation of all partials between 180 and 1500 Hz from the equal-tempered scale.
double estimate_tuning(SpectralPeaks const& peaks);

/// Chroma of every frame of the peaks, for an instrument off by `tuning` semitones.
std::vector<Chroma> fold_to_chroma(SpectralPeaks const& peaks, double tuning);

} // namespace tabard::pipeline
