#pragma once
#include "pipeline/cues/lesson_file.h"
#include "pipeline/timeline/timeline.h"

#include <optional>

namespace tabard::pipeline {

/// A lesson in which every chart can be looked at: those that say no time or no tempo stand one after the other behind
/// `end`, after all else.
struct ChartsInTime {
    Lesson lesson;
    Timeline timeline;
    Time end{0};
};

/// None where all charts of `timed` have their time, or where the file is no lesson. `file` is what `timed` was read
/// from.
std::optional<ChartsInTime> charts_in_time(LessonFile const& file, Lesson const& timed, MediaFacts const& film);

/// The same of a lesson that was read with its untimed parts.
ChartsInTime charts_in_time(Lesson lesson, MediaFacts const& film);

} // namespace tabard::pipeline
