#pragma once
#include "overlay/drawing/scene.h"
#include "pipeline/cues/chart.h"

#include <string>
#include <vector>

namespace tabard::pipeline {

/// How a chord name of a cue file is set in type; an empty one is N.C.
overlay::ChordLabel shown_label(std::string const& name);

/// The chords of a bar as the row of bars shows them.
std::vector<overlay::RibbonChord> ribbon_chords(WrittenBar const& bar);

/// overlay::bar_crowding() of the chart's most crowded bar.
int bar_crowding(Chart const& chart);

} // namespace tabard::pipeline
