#pragma once
#include "overlay/music/hand/hand.h"
#include "overlay/music/shapes/shape_verdict.h"
#include "pipeline/check/rule.h"

#include <string>
#include <vector>

namespace tabard::pipeline {

/// A shape of the author's and what its frets say about its name.
struct JudgedShape {
    std::string name; ///< "F", or "F (easy)" where there are levels
    overlay::ChordName chord;
    overlay::ShapeVerdict verdict;
    std::string words; ///< the verdict for people
    SourcePosition at;
};
/// Those whose name is a chord name.
std::vector<JudgedShape> judged_shapes(Lesson const& lesson);

/// A shape of the author's in the hand.
struct HeldShape {
    std::string name;
    overlay::Shape shape;
    overlay::HandVerdict verdict;
    SourcePosition at;
};
std::vector<HeldShape> held_shapes(Lesson const& lesson);

/// When a chord is first on screen; none where it never is.
std::optional<Time> first_shown(Timeline const& timeline, std::string_view entry);

} // namespace tabard::pipeline
