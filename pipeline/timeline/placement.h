#pragma once
#include "overlay/drawing/stage.h"
#include "pipeline/cues/lesson.h"

namespace tabard::pipeline {

/// The corner of a placement; `automatic` is top left.
overlay::Corner corner_of(Placement placement);
/// Whether a section says where its overlays go, and does not leave it to the lesson (`automatic`).
bool places_itself(Section const& section);
/// Of a section of `lesson`: its own, or the lesson's.
overlay::Corner corner_of(Lesson const& lesson, Section const& section);

/// How the overlays of `lesson` are laid out; the sizes are the film's and not yet said.
overlay::Stage stage_of(Lesson const& lesson);

} // namespace tabard::pipeline
