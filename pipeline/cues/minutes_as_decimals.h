#pragma once
#include "pipeline/cues/cue_document.h"
#include "pipeline/cues/finding.h"
#include "pipeline/cues/lesson.h"

#include <vector>

namespace tabard::pipeline {

/// Warnings where 1.35 was most likely meant as 1:35: one or two digits, a point and two decimals below 60, in a file
/// that has no other times in seconds, where the part would be shorter than any that is shown or the film is far longer
/// than all parts.
std::vector<Finding> minutes_as_decimals(JsonValue const& root, Lesson const& lesson);

} // namespace tabard::pipeline
