#pragma once
#include "pipeline/sound/short_time_spectrum.h"

#include <cstddef>
#include <cstdint>
#include <memory>
#include <span>
#include <vector>

namespace tabard::pipeline {

/// A partial heard in one frame.
struct SpectralPeak {
    float pitch = 0;  ///< MIDI number, fractional: 69 is A4 = 440 Hz
    float weight = 0; ///< its magnitude over the mean of its neighbourhood (whitened), above 1
};

constexpr int kChromaHop =
    512; ///< samples between frames of peaks and chroma: frame n is centred on sample n * kChromaHop

/// The partials of every frame: high resolution low down for the bass, better timing above.
struct SpectralPeaks {
    std::vector<SpectralPeak> treble;         ///< 160-2400 Hz
    std::vector<SpectralPeak> bass;           ///< 72-230 Hz
    std::vector<std::uint32_t> treble_starts; ///< frame n has [treble_starts[n], treble_starts[n + 1])
    std::vector<std::uint32_t> bass_starts;
    std::vector<float> levels; ///< root mean square a frame

    std::size_t frames() const { return levels.size(); }
    std::span<SpectralPeak const> treble_of(std::size_t frame) const;
    std::span<SpectralPeak const> bass_of(std::size_t frame) const;
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
