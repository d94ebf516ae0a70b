#pragma once
#include <cstdint>
#include <vector>

namespace tabard::tests {

// What a recording goes through; mono at kSampleRate. Figures are of the trade: common practice, no published source.

/// A laptop's own microphone: 250 Hz to 5 kHz, a small box's resonance, a gain that follows the level within 0.3 s, and
/// the machine's noise.
void through_laptop(std::vector<float>& sound, std::uint32_t seed);

/// A phone: 120 Hz to 9 kHz and a compressor of 4 to 1.
void through_phone(std::vector<float>& sound);

/// Cuts what is above `share` of the peak.
void clip(std::vector<float>& sound, double share);

/// Mains hum of 50 Hz and its harmonics, `decibels` below the sound.
void add_hum(std::vector<float>& sound, double decibels);

} // namespace tabard::tests
