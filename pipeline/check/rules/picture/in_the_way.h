#pragma once
#include "pipeline/check/picture/picture_facts.h"
#include "pipeline/check/rule.h"

#include <string>

namespace tabard::pipeline {

/// How to get the overlays out of the way in a section: the corner that `check --place` would write, or what else would
/// help where it would write none.
std::string another_corner(SectionCover const& section, Lesson const& lesson, PictureFacts const& pictures);

/// A cue that is on screen in [in, out), or none: the first chord, strum pattern or text.
struct CueOnScreen {
    SourcePosition at;
    Time in{0};
    std::string what; ///< "chord 'C'"
};
std::optional<CueOnScreen> first_cue_in(Timeline const& timeline, Time in, Time out);

} // namespace tabard::pipeline
