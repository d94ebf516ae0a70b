#pragma once
#include "pipeline/listen/align.h"

#include <vector>

namespace tabard::pipeline {

/// The fewest beats through which straight lines keep every chord change within `change_tolerance` seconds of where it
/// is heard and every other beat within `beat_tolerance`. The first beat, the end, and the author's pins are always
/// among them (the line simplification of D. Douglas and T. Peucker, 1973).
std::vector<BeatPin> sparse_pins(ExpectedPart const& part, AlignedPart const& found, double change_tolerance = 0.012,
                                 double beat_tolerance = 0.045);

} // namespace tabard::pipeline
