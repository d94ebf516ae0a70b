#include "tests/support/performance/microphone.h"

#include "tests/support/performance/note_bank.h"
#include "tests/support/performance/room.h"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace tabard::tests {

namespace {

/// A second-order section by the formulas of R. Bristow-Johnson's "Cookbook formulae for audio EQ".
struct Section {
    double b0, b1, b2, a1, a2;

    void run(std::vector<float>& sound) const
    {
        double x1 = 0;
        double x2 = 0;
        double y1 = 0;
        double y2 = 0;
        for (float& sample : sound) {
            double const x = sample;
            double const y = b0 * x + b1 * x1 + b2 * x2 - a1 * y1 - a2 * y2;
            x2 = x1;
            x1 = x;
            y2 = y1;
            y1 = y;
            sample = static_cast<float>(y);
        }
    }
};

enum class Shape { high_pass, low_pass, peak };

Section section(Shape shape, double hertz, double q, double decibels = 0)
{
    double const w = 2 * std::numbers::pi * hertz / kSampleRate;
    double const alpha = std::sin(w) / (2 * q);
    double const c = std::cos(w);
    if (shape == Shape::peak) {
        double const a = std::pow(10, decibels / 40);
        double const a0 = 1 + alpha / a;
        return {(1 + alpha * a) / a0, -2 * c / a0, (1 - alpha * a) / a0, -2 * c / a0, (1 - alpha / a) / a0};
    }
    double const a0 = 1 + alpha;
    double const edge = (shape == Shape::low_pass ? 1 - c : 1 + c) / 2 / a0;
    double const middle = (shape == Shape::low_pass ? 2 : -2) * edge;
    return {edge, middle, edge, -2 * c / a0, (1 - alpha) / a0};
}

/// Brings what is above `threshold` times the sound's loudness nearer to it: `ratio` 4 leaves a quarter of the
/// decibels.
void compress(std::vector<float>& sound, double threshold, double ratio, double attack, double release)
{
    double const level = threshold * loudness(sound);
    double const rise = 1 - std::exp(-1 / (attack * kSampleRate));
    double const fall = 1 - std::exp(-1 / (release * kSampleRate));
    double envelope = 0;
    for (float& sample : sound) {
        double const now = std::abs(sample);
        envelope += (now > envelope ? rise : fall) * (now - envelope);
        if (envelope > level)
            sample *= static_cast<float>(std::pow(envelope / level, 1 / ratio - 1));
    }
}

} // namespace

void through_laptop(std::vector<float>& sound, std::uint32_t seed)
{
    for (int slope = 0; slope < 2; ++slope) {
        section(Shape::high_pass, 250, 0.7).run(sound);
        section(Shape::low_pass, 5000, 0.7).run(sound);
    }
    section(Shape::peak, 1300, 2, 7).run(sound);
    compress(sound, 0.1, 6, 0.005, 0.3);
    add_noise(sound, 22, seed);
}

void through_phone(std::vector<float>& sound)
{
    section(Shape::high_pass, 120, 0.7).run(sound);
    section(Shape::low_pass, 9000, 0.7).run(sound);
    compress(sound, 0.5, 4, 0.003, 0.15);
}

void clip(std::vector<float>& sound, double share)
{
    float peak = 0;
    for (float const sample : sound)
        peak = std::max(peak, std::abs(sample));
    float const most = static_cast<float>(share) * peak;
    for (float& sample : sound)
        sample = std::clamp(sample, -most, most);
}

void add_hum(std::vector<float>& sound, double decibels)
{
    double const level = loudness(sound) * std::pow(10, -decibels / 20);
    for (std::size_t n = 0; n < sound.size(); ++n) {
        double const phase = 2 * std::numbers::pi * 50 * static_cast<double>(n) / kSampleRate;
        sound[n] += static_cast<float>(level * (std::sin(phase) + 0.7 * std::sin(2 * phase + 1) +
                                                0.5 * std::sin(3 * phase + 2) + 0.3 * std::sin(6 * phase)));
    }
}

} // namespace tabard::tests
