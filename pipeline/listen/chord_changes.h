#pragma once
#include "pipeline/listen/hearing.h"
#include "pipeline/listen/playing.h"

#include <vector>

namespace tabard::pipeline {

/// When the plain triad that fits best changes over a stretch, seconds, rising: a Viterbi search over the 24 triads
/// with a cost for each change. For music whose chords nobody has written yet; right to about a tenth of a second.
std::vector<double> chord_changes(Hearing const& heard, Stretch stretch);

} // namespace tabard::pipeline
