#pragma once
#include "pipeline/check/rule.h"

#include <string>
#include <vector>

namespace tabard::pipeline {

/// A single cue of a talk and how long it is on screen.
struct TalkCue {
    std::string what; ///< "chord 'C'"
    Time in{0};
    Time out{0};
    SourcePosition at;
};
std::vector<TalkCue> talk_cues(Timeline const& timeline);

/// The shortest that anything may be seen: ten pictures.
Time ten_pictures(CheckInput const& input);

} // namespace tabard::pipeline
