#include "pipeline/listen/onset_novelty.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdint>
#include <numeric>

namespace tabard::pipeline {

namespace {

constexpr std::size_t kBassBands = 8; // of band_edges(): to 260 Hz

/// Subtracts 0.8 of the mean over a second and divides by the maximum over four, which is taken as `least` at least.
std::vector<float> relative(std::vector<float> const& flux, float least)
{
    auto const size = std::ssize(flux);
    auto const second = static_cast<std::ptrdiff_t>(kListenRate / kNoveltyHop);
    std::vector<double> sums(flux.size() + 1);
    std::partial_sum(flux.begin(), flux.end(), sums.begin() + 1);
    std::vector<float> lifted(flux.size());
    for (std::ptrdiff_t n = 0; n < size; ++n) {
        auto const low = std::max<std::ptrdiff_t>(n - second / 2, 0);
        auto const high = std::min(n + second / 2 + 1, size);
        double const mean = (sums[static_cast<std::size_t>(high)] - sums[static_cast<std::size_t>(low)]) /
                            static_cast<double>(high - low);
        lifted[static_cast<std::size_t>(n)] =
            std::max(0.0F, flux[static_cast<std::size_t>(n)] - 0.8F * static_cast<float>(mean));
    }
    // The maximum over blocks of half a second is enough for a slowly varying scale.
    auto const block = second / 2;
    std::vector<float> tops;
    for (std::ptrdiff_t n = 0; n < size; n += block)
        tops.push_back(*std::max_element(lifted.begin() + n, lifted.begin() + std::min(n + block, size)));
    float const floor = std::max(0.1F * (tops.empty() ? 0.0F : *std::ranges::max_element(tops)) + 1e-6F, least);
    for (std::ptrdiff_t n = 0; n < size; ++n) {
        auto const low = std::max<std::ptrdiff_t>(n / block - 4, 0);
        auto const high = std::min(n / block + 5, std::ssize(tops));
        lifted[static_cast<std::size_t>(n)] /=
            std::max(floor, *std::max_element(tops.begin() + low, tops.begin() + high));
    }
    return lifted;
}

} // namespace

/// The first bin of each log-spaced band from 80 to 9500 Hz, and the end of the last.
std::array<std::size_t, OnsetMeter::kBands + 1> OnsetMeter::band_edges()
{
    std::array<std::size_t, kBands + 1> edges{};
    for (std::size_t band = 0; band <= kBands; ++band) {
        double const hertz = 80 * std::pow(9500.0 / 80, static_cast<double>(band) / kBands);
        auto const bin = static_cast<std::size_t>(std::lround(hertz * (2 * kReach) / kListenRate));
        edges[band] = band == 0 ? bin : std::max(bin, edges[band - 1] + 1);
    }
    return edges;
}

float OnsetMeter::flux(Bands const& now, Bands const& before)
{
    float sum = 0;
    for (std::size_t band = 0; band < kBands; ++band) {
        float const left = before[band > 0 ? band - 1 : band];
        float const right = before[band + 1 < kBands ? band + 1 : band];
        sum += std::max(0.0F, now[band] - std::max({left, before[band], right}));
    }
    return sum;
}

float OnsetMeter::bass_flux(Bands const& now, Bands const& before)
{
    float sum = 0;
    for (std::size_t band = 0; band < kBassBands; ++band)
        sum += std::max(0.0F, now[band] - before[band]);
    return sum;
}

void OnsetMeter::add_frame(std::span<float const> sound, std::ptrdiff_t centre)
{
    auto const magnitudes = m_spectrum.magnitudes(sound, centre);
    std::size_t const frame = m_flux.size();
    Bands& now = m_history[frame % (kLag + 1)];
    for (std::size_t band = 0; band < kBands; ++band) {
        float const sum = std::accumulate(magnitudes.begin() + static_cast<std::ptrdiff_t>(m_edges[band]),
                                          magnitudes.begin() + static_cast<std::ptrdiff_t>(m_edges[band + 1]), 0.0F);
        now[band] = std::log1p(10 * sum);
    }
    Bands const& before = m_history[(frame + 1) % (kLag + 1)];
    m_flux.push_back(frame < kLag ? 0.0F : flux(now, before));
    m_bass_flux.push_back(frame < kLag ? 0.0F : bass_flux(now, before));
}

std::vector<float> OnsetMeter::finish() const { return relative(m_flux, 0); }

std::vector<float> OnsetMeter::finish_bass() const
{
    // A small microphone leaves no bass: what is left of it must not count as loud.
    constexpr float kAudible = 0.25F * kBassBands / kBands;
    float const loudest = m_flux.empty() ? 0.0F : *std::ranges::max_element(m_flux);
    return relative(m_bass_flux, kAudible * loudest);
}

} // namespace tabard::pipeline
