#pragma once
#include "pipeline/match/sound_fingerprint.h"

#include <memory>
#include <span>
#include <vector>

namespace tabard::pipeline {

constexpr int kMatchRate = 16000; ///< samples a second of the sound that is matched, mono

/// How a sound was played to make another.
struct Playback {
    double speed = 1;        ///< seconds of the old sound that pass in a second of the new one
    bool pitch_kept = false; ///< else it rises with the speed, as that of a tape does
    friend bool operator==(Playback, Playback) = default;
};

/// The new sound brought back to the tempo of the old one: what was played so lies on a diagonal.
struct SoundReading {
    Playback playback;
    std::span<float const> sound; ///< at kMatchRate; empty where the pitch was kept: no sample is as it was
    SoundFingerprint print;
    std::shared_ptr<std::vector<float> const> made; ///< what `sound` looks at, where it was made
};

/// `after`, at kMatchRate, as if it had been played so; at speed 1 the reading looks at `after` itself.
SoundReading read_sound(std::span<float const> after, Playback playback);

/// The sound played at another speed, its pitch with it: sample n is what was at n / `factor`. Band-limited
/// interpolation (a windowed sinc).
std::vector<float> stretched(std::span<float const> sound, double factor);

} // namespace tabard::pipeline
