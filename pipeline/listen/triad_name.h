#pragma once
#include "pipeline/listen/expected_music.h"

#include <string>

namespace tabard::pipeline {

/// The name of a plain triad as the hand plays it under a capo at `capo` frets: "C#m".
std::string triad_name(HeardChord const& triad, int capo);

} // namespace tabard::pipeline
