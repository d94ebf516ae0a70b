#pragma once
#include "pipeline/listen/align.h"
#include "pipeline/listen/chord_evidence.h"
#include "pipeline/listen/semi_markov.h"

#include <limits>

namespace tabard::pipeline {

/// Where the beats and the chords of a part lie that was found between `boundaries`, one a span and its end:
/// `reach_beats` is how far off these may be. Outside `window` something else is played.
AlignedPart place_part(Hearing const& heard, ChordEvidence const& evidence, ExpectedPart const& part,
                       Boundaries const& boundaries, double reach_beats = 3,
                       Stretch window = {0, std::numeric_limits<double>::max()});

/// The share of the beats on which the chord on paper is the one that sounds, 0 to 1; every clear contradiction counts
/// half more.
double confidence(ExpectedPart const& part, AlignedPart const& found);

} // namespace tabard::pipeline
