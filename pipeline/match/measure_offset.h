#pragma once
#include "pipeline/match/sound_reading.h"

#include <span>
#include <vector>

namespace tabard::pipeline {

/// How much later one sound runs than another, along a stretch. Seconds of the later sound.
struct OffsetFit {
    double middle = 0; ///< of the stretch
    double offset = 0; ///< there
    double drift = 0;  ///< by how much it grows in a second; 0 where that cannot be told from none
    double spread = 0; ///< half of the measured offsets are that near
};

/// How much later `after` runs than `before` (seconds) around there: generalised cross-correlation with partial
/// whitening (C. Knapp and G. Carter, 1976), refined by a parabola. `expected` is right to within 30 ms.
double measure_offset(std::span<float const> before, std::span<float const> after, double from, double to,
                      double expected);

/// The same with its drift: many short chunks, and the line that most pairs of them agree on (P. K. Sen, 1968).
OffsetFit fit_offset(std::span<float const> before, std::span<float const> after, double from, double to,
                     double expected);

/// The same by the fingerprints alone, for sound of which no sample is as it was: to some milliseconds.
OffsetFit fit_offset(SoundFingerprint const& before, SoundFingerprint const& after, double from, double to,
                     double expected);

} // namespace tabard::pipeline
