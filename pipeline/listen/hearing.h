#pragma once
#include "pipeline/listen/chroma.h"

#include <cstdint>
#include <span>
#include <vector>

namespace tabard::pipeline {

/// What is heard in a recording before any chart is known. Borrows the sound: mono, kListenRate samples a second.
struct Hearing {
    std::span<float const> sound;
    double tuning = 0;                ///< semitones above A4 = 440 Hz
    std::vector<Chroma> chroma;       ///< every kChromaHop samples
    std::vector<std::uint8_t> silent; ///< 1 where nothing sounds, a chroma frame
    std::vector<float> levels;        ///< root mean square, a chroma frame
    std::vector<float> novelty;       ///< onsets, every kNoveltyHop samples

    double seconds() const { return static_cast<double>(sound.size()) / kListenRate; }
};

Hearing hear(std::span<float const> sound);

} // namespace tabard::pipeline
