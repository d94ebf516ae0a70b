#include "pipeline/match/sound_reading.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

namespace tabard::pipeline {

namespace {

/// Half the rate: the mean of neighbours is low-pass enough below 3.4 kHz.
std::vector<float> halved(std::span<float const> sound)
{
    std::vector<float> half(sound.size() / 2);
    for (std::size_t n = 0; n < half.size(); ++n) {
        float const next = 2 * n + 2 < sound.size() ? sound[2 * n + 2] : 0.0F;
        half[n] = 0.25F * sound[2 * n] + 0.5F * sound[2 * n + 1] + 0.25F * next;
    }
    return half;
}

constexpr int kReach = 8;    ///< samples on each side that a sample is made of
constexpr int kPhases = 512; ///< places between two samples that are told apart
using Kernel = std::array<float, 2 * kReach>;

/// Windowed sincs that pass `band` of the band, one for each place between two samples.
std::vector<Kernel> kernels(double band)
{
    std::vector<Kernel> result(kPhases + 1);
    for (int phase = 0; phase <= kPhases; ++phase) {
        for (int tap = 0; tap < 2 * kReach; ++tap) {
            double const x = tap - kReach + 1 - static_cast<double>(phase) / kPhases;
            double const angle = std::numbers::pi * x * band;
            double const sinc = angle == 0 ? 1 : std::sin(angle) / angle;
            double const window = 0.5 + 0.5 * std::cos(std::numbers::pi * x / kReach);
            result[static_cast<std::size_t>(phase)][static_cast<std::size_t>(tap)] =
                static_cast<float>(std::abs(x) < kReach ? band * sinc * window : 0);
        }
    }
    return result;
}

} // namespace

std::vector<float> stretched(std::span<float const> sound, double factor)
{
    auto const table = kernels(std::min(factor, 1.0));
    std::vector<float> result(static_cast<std::size_t>(static_cast<double>(sound.size()) * factor));
    for (std::size_t n = 0; n < result.size(); ++n) {
        double const place = static_cast<double>(n) / factor;
        auto const whole = static_cast<std::ptrdiff_t>(place);
        Kernel const& kernel =
            table[static_cast<std::size_t>(std::lround((place - static_cast<double>(whole)) * kPhases))];
        float sum = 0;
        for (std::ptrdiff_t tap = 0; tap < 2 * kReach; ++tap) {
            std::ptrdiff_t const at = whole + tap - kReach + 1;
            if (at >= 0 && at < std::ssize(sound))
                sum += kernel[static_cast<std::size_t>(tap)] * sound[static_cast<std::size_t>(at)];
        }
        result[n] = sum;
    }
    return result;
}

SoundReading read_sound(std::span<float const> after, Playback playback)
{
    SoundReading reading{playback, after, {}, nullptr};
    if (playback.pitch_kept) {
        reading.print = fingerprint(halved(after), playback.speed);
        reading.sound = {};
        return reading;
    }
    if (playback.speed != 1) {
        reading.made = std::make_shared<std::vector<float> const>(stretched(after, playback.speed));
        reading.sound = *reading.made;
    }
    reading.print = fingerprint(halved(reading.sound));
    return reading;
}

} // namespace tabard::pipeline
