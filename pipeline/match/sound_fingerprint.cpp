#include "pipeline/match/sound_fingerprint.h"

#include "pipeline/sound/short_time_spectrum.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <numeric>

namespace tabard::pipeline {

namespace {

constexpr int kFrame = 2048;
constexpr std::size_t kBands = 33;
constexpr std::size_t kLag = 4; // frames over which the change is taken
using Bands = std::array<float, kBands>;

std::array<std::ptrdiff_t, kBands + 1> band_edges()
{
    std::array<std::ptrdiff_t, kBands + 1> edges{};
    for (std::size_t band = 0; band <= kBands; ++band) {
        double const hertz = 250 * std::pow(3400.0 / 250, static_cast<double>(band) / kBands);
        edges[band] = std::lround(hertz * kFrame / kFingerprintRate);
    }
    return edges;
}

std::uint32_t word_of(Bands const& now, Bands const& before)
{
    std::uint32_t word = 0;
    for (std::size_t band = 0; band + 1 < kBands; ++band) {
        bool const up = now[band] - now[band + 1] > before[band] - before[band + 1];
        word |= static_cast<std::uint32_t>(up) << band;
    }
    return word;
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

SoundFingerprint fingerprint(std::span<float const> sound)
{
    static auto const edges = band_edges();
    ShortTimeSpectrum spectrum(kFrame);
    std::array<Bands, kLag + 1> history{};
    SoundFingerprint result;
    std::vector<float> levels;
    for (std::size_t centre = 0; centre <= sound.size(); centre += kFingerprintHop) {
        auto const magnitudes = spectrum.magnitudes(sound, static_cast<std::ptrdiff_t>(centre));
        std::size_t const frame = result.words.size();
        Bands& now = history[frame % (kLag + 1)];
        for (std::size_t band = 0; band < kBands; ++band)
            now[band] = std::log(
                1e-7F + std::accumulate(magnitudes.begin() + edges[band], magnitudes.begin() + edges[band + 1], 0.0F));
        result.words.push_back(word_of(now, history[(frame + 1) % (kLag + 1)]));
        levels.push_back(spectrum.level());
    }
    result.quiet = quiet_frames(levels);
    return result;
}

} // namespace tabard::pipeline
