#pragma once
#include "pipeline/listen/chord_evidence.h"

#include <vector>

namespace tabard::pipeline {

/// When a chord starts to sound, and the next likely instant.
struct RefinedOnset {
    double seconds = 0;
    double second_best = 0; ///< the best instant at least 80 ms away
    double margin = 0;      ///< nats by which the first is likelier
};

/// Places the change from chord `before` to chord `after` (indices of the evidence) near `expected`: the best onset
/// within `reach` seconds, then back along the rise of the energy to where the stroke starts.
RefinedOnset refine_onset(Hearing const& heard, ChordEvidence const& evidence, std::size_t before, std::size_t after,
                          double expected, double reach);

} // namespace tabard::pipeline
