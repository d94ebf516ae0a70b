#pragma once
#include "pipeline/listen/align.h"
#include "pipeline/listen/part_walk.h"

#include <vector>

namespace tabard::pipeline {

/// A walk as the chart has it: every beat at most once, the last time that it was played.
struct ChartPath {
    std::vector<PlayedStretch> stretches; ///< rising in beats and in time; never empty
    std::vector<Deviation> deviations;    ///< between them; before the first only where the part was begun anew
};

/// A walk that leaves the chart and comes back as if it had not left it, within three bars, has only met chords that
/// are not on paper: it is straight there.
PartWalk without_detours(PartWalk walk, int beats_per_bar);

/// `walk` has a stretch. What was played again is found as the deviation from its first time to its last.
ChartPath chart_path(PartWalk const& walk);

} // namespace tabard::pipeline
