#pragma once
#include "pipeline/sound/short_time_spectrum.h"

#include <cstddef>
#include <cstdint>
#include <deque>
#include <memory>
#include <ranges>
#include <span>
#include <vector>

namespace tabard::pipeline {

/// A partial heard in one frame. Of hours there are tens of millions, so it is kept in four bytes, in steps far finer
/// than what is heard: a five-hundredth of a semitone, a thousandth of the weight.
class SpectralPeak {
public:
    SpectralPeak(float pitch, float weight)
        : m_pitch(static_cast<std::uint16_t>(pitch * kPitchSteps + 0.5F)),
          m_weight(static_cast<std::uint16_t>(weight * kWeightSteps + 0.5F))
    {
    }

    float pitch() const { return m_pitch / kPitchSteps; }    ///< MIDI number, fractional: 69 is A4 = 440 Hz
    float weight() const { return m_weight / kWeightSteps; } ///< magnitude over its neighbourhood's mean, 1 to 50

private:
    static constexpr float kPitchSteps = 512;
    static constexpr float kWeightSteps = 1024;
    std::uint16_t m_pitch;
    std::uint16_t m_weight;
};

constexpr int kChromaHop =
    512; ///< samples between frames of peaks and chroma: frame n is centred on sample n * kChromaHop

/// A deque, which grows without holding them twice.
using PeakList = std::deque<SpectralPeak>;
using PeakRange = std::ranges::subrange<PeakList::const_iterator>;

/// The partials of every frame: high resolution low down for the bass, better timing above.
struct SpectralPeaks {
    PeakList treble;                          ///< 160-2400 Hz
    PeakList bass;                            ///< 72-230 Hz
    std::vector<std::uint32_t> treble_starts; ///< frame n has [treble_starts[n], treble_starts[n + 1])
    std::vector<std::uint32_t> bass_starts;
    std::vector<float> levels; ///< root mean square a frame

    std::size_t frames() const { return levels.size(); }
    PeakRange treble_of(std::size_t frame) const;
    PeakRange bass_of(std::size_t frame) const;
};

/// Finds them frame by frame.
class PeakFinder {
public:
    static constexpr std::ptrdiff_t kReach = 4096; ///< samples before and after its centre that a frame needs

    PeakFinder();
    PeakFinder(PeakFinder&&) noexcept;
    PeakFinder& operator=(PeakFinder&&) noexcept;
    ~PeakFinder();

    /// The next frame, centred on sample `centre` of `sound`; outside `sound` it is silent.
    void add_frame(std::span<float const> sound, std::ptrdiff_t centre);
    /// Of all frames so far. Nothing may be added after it.
    SpectralPeaks finish();

private:
    struct Impl;
    std::unique_ptr<Impl> m_impl;
};

} // namespace tabard::pipeline
