#pragma once
#include "pipeline/sound/short_time_spectrum.h"

#include <array>
#include <cstddef>
#include <span>
#include <vector>

namespace tabard::pipeline {

constexpr int kNoveltyHop = 256; ///< samples between values: value n belongs to sample n * kNoveltyHop
constexpr double kNoveltyStep = static_cast<double>(kNoveltyHop) / kListenRate; ///< seconds between values

/// How much new sound starts around each instant, 0 to 1: spectral flux in log bands with a maximum filter over
/// frequency, which voices with vibrato do not set off (the SuperFlux idea: S. Boeck and G. Widmer, DAFx 2013).
/// It is measured value by value.
class OnsetMeter {
public:
    static constexpr std::ptrdiff_t kReach = 512; ///< samples before and after its centre that a value needs

    /// The next value, at sample `centre` of `sound`; outside `sound` it is silent.
    void add_frame(std::span<float const> sound, std::ptrdiff_t centre);
    /// All values. Nothing may be added after it.
    std::vector<float> finish() const;
    /// The same of the bass strings alone (80 to 260 Hz), on a scale of their own where they are to be heard at all.
    std::vector<float> finish_bass() const;

private:
    static constexpr std::size_t kBands = 48;
    static constexpr std::size_t kLag = 2; // values over which the change is taken
    using Bands = std::array<float, kBands>;
    static std::array<std::size_t, kBands + 1> band_edges();
    static float flux(Bands const& now, Bands const& before);
    static float bass_flux(Bands const& now, Bands const& before);

    ShortTimeSpectrum m_spectrum{2 * kReach};
    std::array<std::size_t, kBands + 1> m_edges = band_edges();
    std::array<Bands, kLag + 1> m_history{};
    std::vector<float> m_flux;
    std::vector<float> m_bass_flux;
};

/// How surely there is an onset, 0 to 1: a soft stroke is one nearly as much as a loud one.
constexpr float certainty(float novelty) { return 1.1F * novelty / (novelty + 0.1F); }

} // namespace tabard::pipeline
