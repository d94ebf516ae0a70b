#pragma once
#include "overlay/music/patterns/strum_pattern.h"
#include "pipeline/timeline/tempo_map.h"

#include <cstdint>
#include <vector>

namespace tabard::pipeline {

/// A step of a strum pattern in one of the bars that it is played over, while the hand is at it.
struct PlayedStep {
    Time in{0};
    Time out{0}; ///< when the next step is due, or the playing stops
    int step = 0;
    std::int64_t place = 0; ///< where it begins, in ticks after the first beat of bar 1
};

/// The steps of a pattern over a chart of `bars` bars, in the order of time. Those that are skipped are left out; one
/// in which the playing stops ends there.
std::vector<PlayedStep> played_steps(overlay::StrumPattern const& pattern, int bars, TempoMap const& map);

} // namespace tabard::pipeline
