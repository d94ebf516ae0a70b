#pragma once
#include "pipeline/listen/chord_template.h"
#include "pipeline/listen/hearing.h"

#include <cstddef>
#include <span>
#include <vector>

namespace tabard::pipeline {

/// What each stroke of a recording speaks for: not what sounds, but what begins to sound. Strings of the chord before
/// may ring on under a bass note of the next one for a beat and more; they are not struck again.
class StrokeEvidence {
public:
    StrokeEvidence(Hearing const& heard, std::span<HeardChord const> chords);

    /// How much better the strokes from `from` to `to` seconds fit the chord than a common triad, in nats. A stroke
    /// counts from shortly after its start on.
    double chord(std::size_t index, double from, double to) const
    {
        return at(m_sums[index], to) - at(m_sums[index], from);
    }

private:
    using Sums = std::vector<float>; ///< by novelty value, up to it
    static double at(Sums const& sums, double seconds);

    std::vector<Sums> m_sums;
};

} // namespace tabard::pipeline
