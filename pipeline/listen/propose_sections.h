#pragma once
#include "pipeline/cues/starter.h"
#include "pipeline/listen/hearing.h"

#include <vector>

namespace tabard::pipeline {

/// The parts of a lesson as its sound suggests them: "Part 1" and so on where a guitar plays, with a likely tempo,
/// "Talk 1" between. They follow one another from 0 to `duration`; silence goes to the part before it. Something to
/// correct, not a truth: empty where there is neither.
std::vector<StarterSection> propose_sections(Hearing const& heard, Time duration);

} // namespace tabard::pipeline
