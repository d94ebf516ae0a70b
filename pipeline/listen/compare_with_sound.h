#pragma once
#include "pipeline/cues/finding.h"
#include "pipeline/cues/lesson.h"
#include "pipeline/listen/hearing.h"

#include <vector>

namespace tabard::pipeline {

/// How far a chord on screen may be from the start of its stroke before a viewer notices: ITU-R BT.1359-1 puts
/// detectability at 45 ms for a late and 125 ms for an early picture. Times are of the cue; the picture that shows it
/// is never later (see SceneRuns).
struct SyncWindow {
    Time late = from_ticks(45, 1, 1000);
    Time early = from_ticks(125, 1, 1000);
};

/// Compares finished cues with the sound, read in another way than listen() reads it (see read_cues()). Its findings
/// have the codes of listen_codes(); what lies together off its sound is one finding.
std::vector<Finding> compare_with_sound(Lesson const& lesson, Hearing const& heard, SyncWindow const& window = {});

} // namespace tabard::pipeline
