#pragma once
#include "pipeline/render/scene_runs.h"
#include "pipeline/time/edit_map.h"

#include <optional>

namespace tabard::pipeline {

/// From where to where a changed lesson shows other chords; where those are the same, anything else; none where both
/// look alike. (Bars that come are seen long before: the chord itself is what an author looks for.)
std::optional<Interval> what_changed(SceneRuns const& before, SceneRuns const& now);

} // namespace tabard::pipeline
