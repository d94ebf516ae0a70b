#pragma once
#include "pipeline/listen/expected_music.h"
#include "pipeline/listen/hearing.h"
#include "pipeline/listen/stroke_evidence.h"

#include <cstdint>
#include <vector>

namespace tabard::pipeline {

constexpr double kNatsPerSecond = 40; ///< what a likeness of 1 (see likeness()) is worth while it lasts

/// Every distinct chord of a chart and what speaks for it over any stretch of the recording, in nats (natural
/// logarithm units): prefix sums over time, so a stretch costs two look-ups.
class ChordEvidence {
public:
    ChordEvidence(Hearing const& heard, ExpectedMusic const& chart);

    std::size_t chords() const { return m_chords.size(); }
    std::vector<HeardChord> const& distinct() const { return m_chords; } ///< by index
    std::size_t index_of(HeardChord const& chord) const;
    StrokeEvidence const& strokes() const { return m_strokes; } ///< what begins to sound, of the same chords
    /// Moves each template half-way to the median chroma of the frames in its list: the guitar and the voicings at
    /// hand.
    void adapt(std::vector<std::vector<std::size_t>> const& frames_of_chord);

    /// How much better the chord fits than a common triad, from `from` to `to` seconds.
    double chord(std::size_t index, double from, double to) const
    {
        return at(m_sums[index], to) - at(m_sums[index], from);
    }
    /// The bass strings' share of chord(), above that of no chord: what is left of it is the treble's.
    /// Prefix sums from `from` seconds on, every `step`.
    std::vector<float> bass_sums(std::size_t index, double from, double step, int count) const;
    /// What speaks for nothing of the chart being played.
    double gap(double from, double to) const { return at(m_gap, to) - at(m_gap, from); }
    /// The prefix sums read every `step` seconds: the value at n is the evidence from 0 to n * step.
    std::vector<float> sampled(std::size_t index, double step) const { return sample(m_sums[index], step); }
    std::vector<float> sampled_gap(double step) const { return sample(m_gap, step); }

private:
    using Sums = std::vector<double>;
    static double at(Sums const& sums, double seconds);
    static std::vector<float> sample(Sums const& sums, double step);
    void sum_up(std::size_t index);

    Hearing const* m_heard;
    std::vector<HeardChord> m_chords;
    std::vector<Chroma> m_templates;
    std::vector<float> m_common; ///< mean likeness of the plain triads, a frame
    std::vector<Sums> m_sums;
    Sums m_gap;
    StrokeEvidence m_strokes;
};

} // namespace tabard::pipeline
