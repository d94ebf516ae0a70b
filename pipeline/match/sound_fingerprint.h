#pragma once
#include <array>
#include <cstdint>
#include <span>
#include <vector>

namespace tabard::pipeline {

constexpr int kFingerprintRate = 8000; ///< samples a second of the sound that is fingerprinted, mono
constexpr int kFingerprintHop = 96;    ///< samples between frames: 12 ms
constexpr double kFingerprintStep = static_cast<double>(kFingerprintHop) / kFingerprintRate; ///< the same in seconds

constexpr std::size_t kFingerprintBands = 33;
constexpr std::size_t kFingerprintLag = 4;                     ///< frames over which the change is taken
using FingerprintBands = std::array<float, kFingerprintBands>; ///< logarithms of the magnitude in each band

/// The lower edges of the bands and the upper one of the last, 250 to 3400 Hz in equal steps of pitch. Hertz.
std::array<double, kFingerprintBands + 1> const& fingerprint_edges();

/// 32 bits of a frame: whether each band rose more than its upper neighbour since `before`, kFingerprintLag frames ago
/// (J. Haitsma and T. Kalker, ISMIR 2002).
std::uint32_t fingerprint_word(FingerprintBands const& now, FingerprintBands const& before);

/// A word a frame of what a sound does.
struct SoundFingerprint {
    std::vector<std::uint32_t> words;
    std::vector<std::uint8_t> quiet; ///< 1 where the frame says little
};

/// Frame n is centred on sample n * kFingerprintHop / `speed`: a sound that was played `speed` times as fast, its
/// pitch kept, gets the frames of the sound that it was made of.
SoundFingerprint fingerprint(std::span<float const> sound, double speed = 1);

} // namespace tabard::pipeline
