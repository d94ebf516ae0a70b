#pragma once
#include "pipeline/listen/expected_music.h"

#include <vector>

namespace tabard::pipeline {

/// Seconds that a beat of a part may last.
struct TempoLimits {
    double shortest_beat = 0;
    double longest_beat = 0;
};

/// Whether every beat between two pins is within the limits. Times are judged to the millisecond, as they are written.
bool are_playable(std::vector<BeatPin> const& pins, TempoLimits limits);

/// Without the pins that mean another tempo with their neighbours. The first, the last, the author's (`fixed`) and
/// those at which the playing stops stay.
std::vector<BeatPin> playable_pins(std::vector<BeatPin> pins, std::vector<BeatPin> const& fixed, TempoLimits limits);

} // namespace tabard::pipeline
