#pragma once
#include "pipeline/listen/align.h"

#include <string>

namespace tabard::pipeline {

/// The share of a part's beats that must sound as written before its pins are written.
constexpr double kTrusted = 0.5;

/// Why what was heard of a part may lie elsewhere although its chords fit: "1 of 4 chords begins between the beats that
/// were found", as where a chord that rings before the part was taken for its first one. Empty where nothing speaks
/// against it. `found.found` is true.
std::string doubt_of(ExpectedPart const& part, AlignedPart const& found);

} // namespace tabard::pipeline
