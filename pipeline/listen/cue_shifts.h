#pragma once
#include "pipeline/listen/chord_evidence.h"

#include <cstddef>
#include <functional>
#include <optional>
#include <span>
#include <vector>

namespace tabard::pipeline {

/// Where the sound of a span should begin by its cue.
struct CueAnchor {
    double seconds = 0;          ///< its first stroke: on the beat, or where the strum pattern has the next one
    std::size_t chord = 0;       ///< index of the evidence
    bool change = true;          ///< another chord than the one before it
    std::optional<double> until; ///< where its playing ends if the next does not follow at once
};

/// By how many seconds each anchor sounds after its cue.
struct CueShifts {
    std::vector<double> seconds;
    double score = 0; ///< nats: comparable between searches of the same part
};

/// Finds by how much the sound of each cue of a part is shifted against it. The whole stretch is divided among the
/// chords (a Viterbi search whose states are shifts), a chord wants a stroke where it begins, and neighbours may differ
/// at a cost that does not grow with the difference. There is no tempo in it and no shift is likelier than another.
class CueShiftSearch {
public:
    using Allowed = std::function<bool(std::size_t anchor, double shift)>;

    /// Shifts from -reach to reach seconds. `before` is the chord that plays up to the first anchor; none: nothing of
    /// the chart. All is borrowed.
    CueShiftSearch(ChordEvidence const& evidence, std::span<float const> novelty, std::span<CueAnchor const> anchors,
                   std::optional<std::size_t> before, double reach);

    /// The likeliest shifts among those that are allowed; where none is, all are.
    CueShifts best(Allowed const& allowed) const;

private:
    double shift(std::size_t state) const;
    float onset(double seconds) const;
    double chord(std::size_t index, double from, double to) const;
    /// What speaks for anchor `n` beginning at each state and the one before it having lasted until then.
    std::vector<float> begins(std::size_t n) const;
    /// What a pause after anchor `n` takes off, by its state.
    float pause(std::size_t n, double shift) const;

    ChordEvidence const& m_evidence;
    std::span<float const> m_novelty;
    std::span<CueAnchor const> m_anchors;
    std::optional<std::size_t> m_before;
    std::size_t m_states;
    std::vector<std::vector<float>> m_begins;
};

} // namespace tabard::pipeline
