#pragma once
#include "pipeline/match/sound_fingerprint.h"

#include <vector>

namespace tabard::pipeline {

/// The constant shifts, in fingerprint frames, at which stretches of the new sound repeat the old: new frame n sounds
/// like old frame n - shift. The most voted first, at most `most`.
std::vector<int> shared_diagonals(SoundFingerprint const& before, SoundFingerprint const& after,
                                  std::size_t most = 200);

/// Which shift each step of the new sound goes by.
struct DiagonalPath {
    static constexpr int kNew = -1;
    int step_frames = 4;         ///< frames a step: 48 ms
    std::vector<int> choices;    ///< index into the diagonals, or kNew, a step
    std::vector<int> runners_up; ///< another diagonal that fits the step nearly as well, or kNew
};

/// The likeliest sequence of diagonals and new material (Viterbi), from the bit errors between the fingerprints.
DiagonalPath follow_diagonals(SoundFingerprint const& before, SoundFingerprint const& after,
                              std::vector<int> const& diagonals);

} // namespace tabard::pipeline
