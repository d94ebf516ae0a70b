#pragma once
#include "pipeline/listen/chroma.h"
#include "pipeline/listen/onset_novelty.h"
#include "pipeline/listen/rise_energy.h"

#include <cstddef>
#include <cstdint>
#include <span>
#include <vector>

namespace tabard::pipeline {

/// What is heard in a recording before any chart is known.
struct Hearing {
    std::size_t samples = 0;          ///< how many there were
    double tuning = 0;                ///< semitones above A4 = 440 Hz
    std::vector<Chroma> chroma;       ///< every kChromaHop samples
    std::vector<std::uint8_t> silent; ///< 1 where nothing sounds, a chroma frame
    std::vector<float> levels;        ///< root mean square, a chroma frame
    std::vector<float> novelty;       ///< onsets, every kNoveltyHop samples
    std::vector<float> rises;         ///< energy of the differenced sound, every kRiseHop samples
    std::vector<float> bass_novelty;  ///< and those of the bass strings

    double seconds() const { return static_cast<double>(samples) / kListenRate; }
};

/// Hears sound as it comes and keeps none of it, so that three hours need a tenth of their samples' memory.
class Listener {
public:
    /// The next samples, mono at kListenRate.
    void add(std::span<float const> block);
    /// What all of it says. Nothing may be added after it.
    Hearing finish();

private:
    struct Frames {
        std::size_t hop;
        std::size_t reach;
        std::size_t next = 0; ///< the sample that the next frame is centred on
    };
    void look(bool ended);

    PeakFinder m_peaks;
    OnsetMeter m_onsets;
    RiseMeter m_rises;
    Frames m_peak_frames{kChromaHop, PeakFinder::kReach};
    Frames m_onset_frames{kNoveltyHop, OnsetMeter::kReach};
    std::vector<float> m_recent; ///< samples that frames to come need
    std::size_t m_first = 0;     ///< the number of m_recent's first
};

/// The same of sound that is there whole.
Hearing hear(std::span<float const> sound);

} // namespace tabard::pipeline
