#pragma once
#include "overlay/drawing/stage.h"
#include "pipeline/cues/lesson.h"

namespace tabard::pipeline {

/// The corner of a placement; `automatic` is top left.
overlay::Corner corner_of(Placement placement);

} // namespace tabard::pipeline
