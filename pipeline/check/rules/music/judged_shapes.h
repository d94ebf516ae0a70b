#pragma once
#include "overlay/music/hand/hand.h"
#include "overlay/music/shapes/shape_verdict.h"
#include "pipeline/check/rule.h"

#include <string>
#include <vector>

namespace tabard::pipeline {

/// A shape of the author's and what its frets say about its name.
struct JudgedShape {
    std::string name;  ///< of the entry, as written: what chords of the lesson are called
    std::string label; ///< the same, with the level where there are several: "F (easy)"
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
    std::string label;
    overlay::Shape shape;
    overlay::HandVerdict verdict;
    SourcePosition at;
};
std::vector<HeldShape> held_shapes(Lesson const& lesson);

/// When a chord of that name is first on screen; none where it never is.
std::optional<Time> first_shown(Timeline const& timeline, std::string_view name);

} // namespace tabard::pipeline
