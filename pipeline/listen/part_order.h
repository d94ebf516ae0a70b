#pragma once
#include "pipeline/listen/semi_markov.h"

#include <span>
#include <vector>

namespace tabard::pipeline {

/// Parts whose place nobody said may be played in another order than the file's. `in_order` is where they lie if they
/// are not, `beat_seconds` their tempos. The result is where they lie in the order that the recording speaks for
/// clearly; else what was given.
std::vector<Boundaries> reorder_parts(EvidenceGrid const& grid, ChordEvidence const& evidence,
                                      ExpectedMusic const& chart, std::span<double const> beat_seconds,
                                      CoarseSettings const& settings, std::vector<Boundaries> in_order);

/// The parts' numbers in the order of time; one that was not found follows the one before it in the file.
std::vector<std::size_t> played_order(std::span<Boundaries const> boundaries);

} // namespace tabard::pipeline
