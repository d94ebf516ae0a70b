#pragma once
#include "pipeline/match/print_search.h"
#include "pipeline/match/sound_reading.h"

#include <cstddef>
#include <vector>

namespace tabard::pipeline {

/// A way in which the new sound may repeat the old: frame n of that reading sounds like old frame n - shift.
struct SharedLine {
    std::size_t reading = 0; ///< index into the readings
    int shift = 0;           ///< fingerprint frames
};

/// The shifts at which stretches of a reading repeat the old sound, those with most evidence first, at most `most`.
std::vector<int> shared_shifts(PrintSearch& before, SoundFingerprint const& reading, std::size_t most = 200);

constexpr double kLineStep = 0.048; ///< seconds of the new sound a step

/// Which line each step of the new sound goes by.
struct LinePath {
    static constexpr int kNew = -1;
    std::vector<int> choices;    ///< index into the lines, or kNew, a step
    std::vector<int> runners_up; ///< another line that fits the step nearly as well, or kNew
};

/// The likeliest sequence of lines and new material (Viterbi), from the bit errors between the fingerprints. Where
/// other sound lies over all of it, what counts as the same is what is clearly more alike than chance.
LinePath follow_lines(SoundFingerprint const& before, std::vector<SoundReading> const& readings,
                      std::vector<SharedLine> const& lines, double new_length);

/// Share of the bits in which a frame of a reading and the old frame that the line leads to differ; 0.5, which is
/// chance, outside the old sound.
float bit_error(SoundFingerprint const& before, SoundFingerprint const& reading, std::ptrdiff_t frame, int shift);

} // namespace tabard::pipeline
