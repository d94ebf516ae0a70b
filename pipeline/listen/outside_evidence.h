#pragma once
#include "pipeline/listen/part_trellis.h"

#include <vector>

namespace tabard::pipeline {

/// What speaks for a stretch of the recording being outside a part: nothing of the chart is played there, or chords of
/// the lesson in any order and for any time, as where a chord rings, where bars are tried out, or where more is played
/// than the chart has. Without it a part would reach for all that is played beside it.
struct OutsideEvidence {
    std::vector<float> until; ///< nats from the window's first step to each of its steps
    std::vector<float> from;  ///< from each of its steps to the last
};

OutsideEvidence outside_evidence(EvidenceGrid const& grid, GridRange window);

} // namespace tabard::pipeline
