#pragma once
#include "pipeline/listen/cue_anchors.h"
#include "pipeline/listen/cue_shifts.h"
#include "pipeline/listen/part_reading.h"

#include <cstddef>
#include <optional>
#include <vector>

namespace tabard::pipeline {

constexpr double kSameShift = 0.025; ///< seconds by which what is off together may differ

double middle(std::vector<double> values);

/// Reads the cues of one part: what they are off by, if they are. The lot may first be held to be off by some time;
/// what is said of them is then what is left.
class PartReader {
public:
    /// The cues are sought around where they are, moved by `moved` seconds. `before` is the chord that plays until the
    /// part begins, where another part goes over into it. All is borrowed.
    PartReader(Hearing const& heard, ChordEvidence const& evidence, CuedPart const& part,
               std::optional<std::size_t> before, double moved, CueWindow const& window);

    /// Nats for every cue being right once all are moved by `by` seconds more: comparable between values of `by`.
    double score(double by);
    /// Nats by which all are likelier right, moved by `by` seconds, than half a beat or a beat before or after it.
    double margin(double by);
    /// What is said of the cues once they are moved by `by` seconds more.
    PartReading read(double by);

private:
    struct Run {
        std::size_t first;
        std::size_t last;
        std::size_t cues;
        bool right; ///< as far as single strokes can say
    };

    PartReading read_runs(double by);
    bool is_right(std::size_t n, double shift) const;
    std::vector<Run> runs_of(std::vector<double> const& shifts) const;
    void find_runs();
    bool is_clear(Run const& run, std::vector<char> const& held) const;
    bool is_pushed(Run const& run) const;
    bool is_passed(Run const& run) const;
    std::optional<double> late_of(Run const& run) const;
    bool is_off(Run const& run, std::optional<double> late) const;
    void judge_chords(PartReading& result) const;

    Hearing const& m_heard;
    CuedPart const& m_part;
    CueWindow m_window;
    CueAnchors m_played;
    double m_beat; ///< seconds
    CueShiftSearch m_search;
    double m_by = 0;    ///< of the present reading
    CueShifts m_shifts; ///< and what it found: seconds from where a cue is
    std::vector<Run> m_runs;
};

} // namespace tabard::pipeline
