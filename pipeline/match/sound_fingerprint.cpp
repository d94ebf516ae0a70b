#include "pipeline/match/sound_fingerprint.h"

#include "pipeline/sound/short_time_spectrum.h"

#include <algorithm>
#include <cmath>
#include <numeric>

namespace tabard::pipeline {

namespace {

constexpr int kFrame = 2048;

std::array<std::ptrdiff_t, kFingerprintBands + 1> edge_bins()
{
    std::array<std::ptrdiff_t, kFingerprintBands + 1> bins{};
    std::ranges::transform(fingerprint_edges(), bins.begin(),
                           [](double hertz) { return std::lround(hertz * kFrame / kFingerprintRate); });
    return bins;
}

/// Quiet is what lies 40 dB below the loud tenth, or below 16-bit dither.
std::vector<std::uint8_t> quiet_frames(std::vector<float> const& levels)
{
    auto sorted = levels;
    auto const loud = sorted.begin() + std::ssize(sorted) * 9 / 10;
    std::nth_element(sorted.begin(), loud, sorted.end());
    float const threshold = std::max(*loud / 100, 1e-5F);
    std::vector<std::uint8_t> quiet(levels.size());
    std::ranges::transform(levels, quiet.begin(), [=](float level) { return level < threshold ? 1 : 0; });
    return quiet;
}

} // namespace

std::array<double, kFingerprintBands + 1> const& fingerprint_edges()
{
    static auto const edges = [] {
        std::array<double, kFingerprintBands + 1> hertz{};
        for (std::size_t band = 0; band <= kFingerprintBands; ++band)
            hertz[band] = 250 * std::pow(3400.0 / 250, static_cast<double>(band) / kFingerprintBands);
        return hertz;
    }();
    return edges;
}

std::uint32_t fingerprint_word(FingerprintBands const& now, FingerprintBands const& before)
{
    std::uint32_t word = 0;
    for (std::size_t band = 0; band + 1 < kFingerprintBands; ++band) {
        bool const up = now[band] - now[band + 1] > before[band] - before[band + 1];
        word |= static_cast<std::uint32_t>(up) << band;
    }
    return word;
}

SoundFingerprint fingerprint(std::span<float const> sound, double speed)
{
    static auto const edges = edge_bins();
    ShortTimeSpectrum spectrum(kFrame);
    std::array<FingerprintBands, kFingerprintLag + 1> history{};
    SoundFingerprint result;
    std::vector<float> levels;
    for (std::size_t frame = 0;; ++frame) {
        auto const centre = std::lround(static_cast<double>(frame * kFingerprintHop) / speed);
        if (centre > std::ssize(sound))
            break;
        auto const magnitudes = spectrum.magnitudes(sound, centre);
        FingerprintBands& now = history[frame % (kFingerprintLag + 1)];
        for (std::size_t band = 0; band < kFingerprintBands; ++band)
            now[band] = std::log(
                1e-7F + std::accumulate(magnitudes.begin() + edges[band], magnitudes.begin() + edges[band + 1], 0.0F));
        result.words.push_back(fingerprint_word(now, history[(frame + 1) % (kFingerprintLag + 1)]));
        levels.push_back(spectrum.level());
    }
    result.quiet = quiet_frames(levels);
    return result;
}

} // namespace tabard::pipeline
