#pragma once
#include "pipeline/listen/chord_evidence.h"

#include <cstdint>
#include <vector>

namespace tabard::pipeline {

/// Candidates for a boundary, as grid steps [low, high).
struct GridRange {
    int low = 0;
    int high = 0;
    int size() const { return high - low; }
};

constexpr float kImpossible = -1e30F;

/// What is read off the recording once for a whole search: everything on one grid of time steps.
struct EvidenceGrid {
    double step = 0;
    int size = 0;                           ///< steps, the last included
    std::vector<std::vector<float>> chords; ///< prefix sums, a distinct chord
    std::vector<float> gap;
    std::vector<float> onsets; ///< strongest novelty within half a step
};

EvidenceGrid lay_grid(ChordEvidence const& evidence, std::span<float const> novelty, double step);

/// The explicit-duration Viterbi search through one part.
class PartTrellis {
public:
    struct Span {
        std::size_t chord = 0;
        double steps = 0; ///< how long it should last
        float onset_weight = 0;
    };
    PartTrellis(EvidenceGrid const& grid, std::vector<Span> spans, std::vector<GridRange> ranges, double deviation);

    /// `entry[n]` scores starting the part at step range(0).low + n.
    void run(std::vector<float> const& entry);
    /// The score of the whole part ending at a step of the last range.
    std::vector<float> const& exit() const { return m_scores; }
    GridRange exit_range() const { return m_ranges.back(); }
    std::size_t last_chord() const { return m_spans.back().chord; }
    /// The boundaries that lead to ending at `end`, as grid steps.
    std::vector<int> trace(int end) const;

private:
    void advance(std::size_t span);

    EvidenceGrid const* m_grid;
    std::vector<Span> m_spans;
    std::vector<GridRange> m_ranges; ///< spans + 1
    double m_deviation;
    std::vector<float> m_scores;
    std::vector<std::vector<std::uint16_t>> m_lengths; ///< the best length of a span, by its end
};

} // namespace tabard::pipeline
