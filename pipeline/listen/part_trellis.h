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

/// The explicit-duration Viterbi search through one part. How it came to its scores is not kept, since spans times the
/// film's length would need more memory than all else: trace() searches once more what can lead to one end.
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
    /// The boundaries that lead to ending at `end`, as grid steps; `end` can be reached: its score is no kImpossible.
    std::vector<int> trace(int end) const;

private:
    using Scores = std::vector<float>;
    using Lengths = std::vector<std::uint16_t>;
    /// The shortest and the longest that a span may be, in steps.
    static GridRange lengths_of(Span const& span);
    /// From the scores of beginning a span in `from` to those of ending it in `to`; `best` gets the length of each.
    Scores advance(Span const& span, GridRange from, GridRange to, Scores const& scores, Lengths* best) const;
    /// The boundaries that can lead to ending at `end`.
    std::vector<GridRange> leading_to(int end) const;

    EvidenceGrid const* m_grid;
    std::vector<Span> m_spans;
    std::vector<GridRange> m_ranges; ///< spans + 1
    double m_deviation;
    Scores m_entry;
    Scores m_scores;
};

} // namespace tabard::pipeline
