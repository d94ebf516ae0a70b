#pragma once
#include "pipeline/listen/heard_document.h"

#include <optional>
#include <set>
#include <utility>
#include <vector>

namespace tabard::pipeline {

/// When a part is on screen and played: as the file says it, or as it was heard.
struct PartState {
    SectionTimes times;
    std::vector<Pin> pins;
    friend bool operator==(PartState const& a, PartState const& b);
};

/// Which changes of a lesson that was heard are taken.
struct TakenParts {
    std::set<std::size_t> whole; ///< these parts: their times, pins and tempo
    std::set<std::size_t> from;  ///< and where these begin
    std::set<std::size_t> to;    ///< and where these end
};

/// The parts as they are written, and as they would be once all of `heard` is taken.
std::vector<PartState> written_states(Lesson const& lesson);
std::vector<PartState> heard_states(Lesson const& lesson, LessonHeard const& heard);

/// The fewest changes that take `part` and leave a lesson that holds together: it, the ends of the parts beside it that
/// moved along, and where a part would otherwise lie outside its own pins and cues or over another, that one too.
TakenParts taken_with(std::size_t part, Lesson const& lesson, LessonHeard const& heard);

} // namespace tabard::pipeline
