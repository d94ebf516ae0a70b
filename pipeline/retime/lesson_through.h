#pragma once
#include "pipeline/cues/lesson_file.h"
#include "pipeline/retime/retime.h"

namespace tabard::pipeline {

/// The new cue file for a film that was cut again. `file.reading` has a lesson; `old_film` is the film its times are
/// of.
Retimed retime(LessonFile const& file, MediaFacts const& old_film, EditMap const& cut,
               RetimeOptions const& options = {});

/// The lesson as it lies in the new film, without a file of its own: findings point at the lines of the old one.
LessonReading lesson_through(LessonFile const& file, MediaFacts const& old_film, EditMap const& cut,
                             RetimeOptions const& options = {});

} // namespace tabard::pipeline
