#pragma once
#include "pipeline/listen/align.h"
#include "pipeline/listen/chord_evidence.h"
#include "pipeline/listen/part_walk.h"
#include "pipeline/listen/semi_markov.h"

namespace tabard::pipeline {

/// Follows the playing through a part that lies about `boundaries` (one a span and its end), also where it leaves the
/// chart.
AlignedPart follow_part(Hearing const& heard, ChordEvidence const& evidence, EvidenceGrid const& grid,
                        ExpectedPart const& part, Boundaries const& boundaries, PartWindow const& window);

} // namespace tabard::pipeline
