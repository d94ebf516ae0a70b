#pragma once
#include "pipeline/cues/cue_document.h"
#include "pipeline/listen/listen.h"

#include <optional>
#include <vector>

namespace tabard::pipeline {

/// When a section begins and ends, where the cue file says so.
struct SectionTimes {
    std::optional<Time> from;
    std::optional<Time> to;
    friend bool operator==(SectionTimes const&, SectionTimes const&) = default;
};

/// The times of all sections of the lesson once those that were heard with confidence stand where they are played: they
/// hold what is played in them and what they show, and no section reaches into the next. A section that began where the
/// one before it ended still does. An end that is not written stays so, unless the bars would reach into the next
/// section. One that says no time and has no bars begins where the one before it in the file ends.
std::vector<SectionTimes> heard_times(Lesson const& lesson, LessonHeard const& heard);

/// The cue file with these times, and the pins and the tempo of every section that was heard with confidence.
/// Everything else stays.
JsonValue with_heard_pins(JsonValue document, Lesson const& lesson, LessonHeard const& heard);

} // namespace tabard::pipeline
