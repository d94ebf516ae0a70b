#pragma once
#include "tests/support/performance/performance.h"

#include <cstdint>
#include <filesystem>
#include <string>
#include <vector>

namespace tabard::tests {

/// Root mean square of a sound.
double loudness(std::vector<float> const& sound);

/// Adds pink-ish noise so that the sound is `decibels` above it.
void add_noise(std::vector<float>& sound, double decibels, std::uint32_t seed);

/// Adds a room: parallel feedback combs and all-passes (M. R. Schroeder, 1962), reverberation time in seconds.
void add_reverb(std::vector<float>& sound, double seconds, double share);

/// Lays `voice`, repeated with pauses, over the sound from `from` to `to` seconds; `level` relative to the sound's
/// loudness.
void add_voice(std::vector<float>& sound, std::vector<float> const& voice, double from, double to, double level);

/// A sung line: a harmonic tone with vibrato that holds one tone of each chord.
void add_singing(std::vector<float>& sound, Performance const& performance, double level);

/// A metronome's click on each beat of the parts and on four beats before them; `level` relative to the sound's
/// loudness.
void add_click(std::vector<float>& sound, Performance const& performance, double level);

/// Through an AAC encoder and back, aligned with what went in (ffmpeg, `bit_rate` like "96k").
std::vector<float> through_aac(std::vector<float> const& sound, std::string const& bit_rate,
                               std::filesystem::path const& scratch, std::string const& filter = {},
                               int rate = kSampleRate);

/// A canonical 32-bit float WAV file.
void write_wav(std::filesystem::path const& file, std::vector<float> const& sound, int sample_rate);

} // namespace tabard::tests
