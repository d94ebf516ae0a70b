#pragma once
#include "pipeline/listen/align.h"
#include "pipeline/listen/part_trellis.h"
#include "pipeline/listen/playing.h"

#include <optional>
#include <span>
#include <vector>

namespace tabard::pipeline {

/// Beats of a chart that follow one another in time.
struct PlayedStretch {
    int first_beat = 0;
    std::vector<double> seconds; ///< the start of each beat, and the end of the last
    double margin = kNoOther;    ///< nats by which a walk that comes here beats the best one that does not

    int end_beat() const { return first_beat + static_cast<int>(seconds.size()) - 1; }
};

/// How the playing goes through a part: stretch after stretch, each from where the one before it stopped, from an
/// earlier bar or from a later one. Playing that never leaves the chart is one stretch.
struct PartWalk {
    std::vector<PlayedStretch> stretches;
    double score = 0; ///< nats for it and for what is outside: comparable between tempos
};

/// Where a walk leaves the chart and goes on with it.
struct Turn {
    int from = 0; ///< the beat that would have come
    int to = 0;   ///< the beat that comes
};

/// What of a recording may be a part's, seconds.
struct PartWindow {
    Stretch whole;
    Stretch begins; ///< where it may be begun for the first time
};

/// How a part is walked.
struct WalkSettings {
    double beat_seconds = 0.6; ///< the tempo to assume
    PartWindow window;
    bool straight = false;         ///< the chart is not left
    double eager = 0;              ///< nats by which leaving the chart costs less than usual
    std::optional<Turn> without{}; ///< a turn that is not taken, nor one within a beat of it
};

/// Finds how the playing goes through a part: a semi-Markov search over its beats (S.-Z. Yu, 2010) in which the playing
/// may rest at any beat, last chord ringing or nothing of the chart played, and may go on with another bar. `expected`
/// are rough times of the beats; the search keeps near them where a part is long, so that its memory is bounded.
PartWalk walk_part(EvidenceGrid const& grid, ChordEvidence const& evidence, ExpectedPart const& part,
                   std::span<double const> expected, WalkSettings const& settings);

} // namespace tabard::pipeline
