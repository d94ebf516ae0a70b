#pragma once
#include "overlay/drawing/scene.h"
#include "pipeline/cues/chart.h"

#include <string>
#include <vector>

namespace tabard::pipeline {

/// The chords of a bar of the chart as the row of bars shows them.
std::vector<overlay::RibbonChord> ribbon_chords(WrittenBar const& bar, overlay::NoteNames names);

/// overlay::bar_crowding() of the chart's most crowded bar.
int bar_crowding(Chart const& chart);

} // namespace tabard::pipeline
