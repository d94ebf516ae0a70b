#include "pipeline/listen/hearing.h"

#include "pipeline/listen/onset_novelty.h"

#include <algorithm>

namespace tabard::pipeline {

namespace {

/// Silent is what lies 42 dB below the loud tenth of the recording, or below 16-bit dither.
std::vector<std::uint8_t> silent_frames(std::vector<float> levels)
{
    auto const plain = levels;
    auto const loud = levels.begin() + static_cast<std::ptrdiff_t>(levels.size() * 9 / 10);
    std::nth_element(levels.begin(), loud, levels.end());
    float const threshold = std::max(*loud / 126, 1e-5F);
    std::vector<std::uint8_t> silent(plain.size());
    std::ranges::transform(plain, silent.begin(), [=](float level) { return level < threshold ? 1 : 0; });
    return silent;
}

} // namespace

Hearing hear(std::span<float const> sound)
{
    Hearing heard;
    heard.sound = sound;
    auto const peaks = find_spectral_peaks(sound);
    heard.tuning = estimate_tuning(peaks);
    heard.chroma = fold_to_chroma(peaks, heard.tuning);
    heard.levels = peaks.levels;
    heard.silent = silent_frames(peaks.levels);
    heard.novelty = onset_novelty(sound);
    return heard;
}

} // namespace tabard::pipeline
