#pragma once
#include "pipeline/listen/align.h"

#include <vector>

namespace tabard::pipeline {

/// How far the straight lines between pins may pass what was heard, seconds.
struct PinTolerances {
    double change = 0.025; ///< a chord change: hands are no more even than that
    double beat = 0.07;    ///< a beat without one, at least: nobody sees it
};

/// The fewest beats through which straight lines keep every chord change and every other beat within the tolerances.
/// The first beat, the end, and the author's pins are always among them. The lines are those of least squares, so one
/// uneven stroke bends no tempo. No line runs through a deviation: the pin at which the playing stops carries where it
/// goes on.
std::vector<BeatPin> sparse_pins(ExpectedPart const& part, AlignedPart const& found, PinTolerances tolerances = {});

} // namespace tabard::pipeline
