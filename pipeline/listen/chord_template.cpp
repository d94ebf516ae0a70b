#include "pipeline/listen/chord_template.h"

#include <cmath>

namespace tabard::pipeline {

namespace {

void add_tone(PitchClasses& classes, int tone, float weight)
{
    static constexpr std::array<int, 6> kHarmonics{0, 0, 7, 0, 4, 7}; // pitch class of harmonics 1 to 6 above the tone
    for (int const harmonic : kHarmonics) {
        classes[static_cast<std::size_t>((tone + harmonic) % 12)] += weight;
        weight *= 0.6F;
    }
}

} // namespace

Chroma chord_template(HeardChord const& chord)
{
    Chroma result;
    for (std::size_t n = 0; n < chord.tones.size(); ++n) {
        add_tone(result.treble, chord.tones[n], n < 3 ? 1.0F : 0.7F);
        add_tone(result.bass, chord.tones[n], 0.25F);
    }
    if (chord.bass >= 0)
        add_tone(result.bass, chord.bass, 0.75F);
    for (PitchClasses* half : {&result.treble, &result.bass}) {
        for (float& value : *half)
            value = std::sqrt(value);
        normalise(*half);
    }
    return result;
}

float likeness(Chroma const& frame, Chroma const& chord)
{
    return (1 - kBassShare) * dot(frame.treble, chord.treble) + kBassShare * dot(frame.bass, chord.bass);
}

std::array<HeardChord, 24> const& plain_triads()
{
    static auto const triads = [] {
        std::array<HeardChord, 24> result;
        for (int root = 0; root < 12; ++root) {
            result[static_cast<std::size_t>(root)] = {{root, (root + 4) % 12, (root + 7) % 12}, root};
            result[static_cast<std::size_t>(root) + 12] = {{root, (root + 3) % 12, (root + 7) % 12}, root};
        }
        return result;
    }();
    return triads;
}

HeardChord transposed(HeardChord chord, int semitones)
{
    int const up = (semitones % 12 + 12) % 12;
    for (int& tone : chord.tones)
        tone = (tone + up) % 12;
    if (chord.bass >= 0)
        chord.bass = (chord.bass + up) % 12;
    return chord;
}

} // namespace tabard::pipeline
