#pragma once
#include <cstdint>
#include <span>
#include <vector>

namespace tabard::pipeline {

constexpr int kFingerprintRate = 8000; ///< samples a second of the sound that is fingerprinted, mono
constexpr int kFingerprintHop = 96;    ///< samples between frames: 12 ms

/// 32 bits a frame: the sign of the change over time of the difference between neighbouring log bands, 250 to 3400 Hz
/// (J. Haitsma and T. Kalker, ISMIR 2002). Frame n is centred on sample n * kFingerprintHop.
struct SoundFingerprint {
    std::vector<std::uint32_t> words;
    std::vector<std::uint8_t> quiet; ///< 1 where the frame says little
};

SoundFingerprint fingerprint(std::span<float const> sound);

} // namespace tabard::pipeline
