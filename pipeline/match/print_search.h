#pragma once
#include "pipeline/match/sound_fingerprint.h"
#include "pipeline/sound/real_fft.h"

#include <complex>
#include <cstddef>
#include <cstdint>
#include <span>
#include <vector>

namespace tabard::pipeline {

/// Finds where a stretch of words lies in a long fingerprint: by their correlation at every place (fast Fourier
/// transforms over blocks), which finds what no single word of would.
class PrintSearch {
public:
    static constexpr std::size_t kLongest = 334; ///< frames of a stretch: 4 s

    explicit PrintSearch(SoundFingerprint const& sound);

    struct Place {
        std::ptrdiff_t frame; ///< of the long sound, where the stretch begins
        float likeness;       ///< of all bits the share that agree less that which do not: 1 the same, 0 chance
    };
    /// The likeliest places, the likeliest first, at most `most`, each above `least`. Frames that are quiet in either
    /// count as chance.
    std::vector<Place> find(SoundFingerprint const& stretch, std::size_t most, float least);

private:
    static constexpr std::size_t kBlock = 1024; ///< points of a transform
    static constexpr std::size_t kKeep = 2;     ///< every second frame, every second bit
    static constexpr std::size_t kChannels = 32 / kKeep;
    static constexpr std::size_t kFresh = kBlock - kLongest / kKeep - 1; ///< places that a block tells of
    static constexpr std::size_t kBins = kBlock / 2 + 1;

    void load(SoundFingerprint const& sound, std::size_t channel, std::size_t first, std::size_t frames);
    float likeness(SoundFingerprint const& stretch, std::ptrdiff_t frame) const;

    SoundFingerprint const& m_sound;
    RealFft m_fft;
    std::vector<float> m_samples;
    std::vector<std::complex<float>> m_blocks; ///< of each block each channel's bins
    std::size_t m_block_count;
};

} // namespace tabard::pipeline
