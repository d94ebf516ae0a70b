#pragma once
#include "overlay/sheet/sheet_model.h"
#include "pipeline/cues/lesson.h"

#include <optional>
#include <vector>

namespace tabard::pipeline {

/// What the lesson's sheet says. `level`: print only that shape of chords that have several; none prints all, side by
/// side. Parts with the same bars are written out once, however fast they are played; talks are left out; a part that a
/// cut has broken stands there once.
overlay::SheetModel build_sheet(Lesson const& lesson, std::optional<Level> level = std::nullopt);

/// The bars of a chart as the sheet prints them.
std::vector<overlay::SheetBar> sheet_bars(Chart const& chart);

} // namespace tabard::pipeline
