#pragma once
#include "pipeline/listen/chart_path.h"
#include "pipeline/listen/chord_evidence.h"

namespace tabard::pipeline {

/// The beats of a part from `first` to `end`, as a part of its own: spans, bars, strokes and pins count from `first`.
ExpectedPart part_between(ExpectedPart const& part, int first, int end);

/// Where the beats and the chords of a part lie that was played along `path`: each of its stretches is placed by
/// itself, so that no tempo runs on over a deviation.
AlignedPart place_path(Hearing const& heard, ChordEvidence const& evidence, ExpectedPart const& part,
                       ChartPath const& path);

} // namespace tabard::pipeline
