#pragma once
#include "pipeline/cues/lesson_file.h"
#include "pipeline/retime/cut_file.h"
#include "pipeline/timeline/timeline.h"
#include "pipeline/workspace/known_film.h"

#include <optional>
#include <vector>

namespace tabard::pipeline {

/// A cue file as its author wrote it, with the film that it names.
struct WrittenLesson {
    LessonFile file; ///< may hold errors; without a lesson nothing is known of a film
    KnownFilm film;
};

/// The cut that a lesson is seen through.
struct SeenCut {
    CutReading reading;
    KnownFilm footage; ///< the film before the cut
};

/// A lesson laid out on the film that its times are of: as it was written, or seen through a cut.
struct OpenedLesson {
    Lesson lesson;                 ///< lesson.footage is that film, where it is known
    std::vector<Finding> findings; ///< of the reader, at their places in the cue file
    KnownFilm film;
    Timeline timeline;
    std::optional<SeenCut> through;
};

/// The lesson as it was written. `written.file.reading` has one.
OpenedLesson as_written(WrittenLesson written, Level level);

/// Facts of the film before a cut: where its length is not known, it is as long as the cut has use for.
MediaFacts facts_before(KnownFilm const& footage, CutReading const& cut);

/// Fails with invalid_input where the cue file has errors: the first twenty as `check` prints them.
Result<void> check_usable(LessonFile const& file);

} // namespace tabard::pipeline
