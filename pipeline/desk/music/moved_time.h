#pragma once
#include "pipeline/desk/file/document_set.h"
#include "pipeline/desk/view/frame_clock.h"
#include "pipeline/desk/view/lesson_view.h"

#include <cstdint>
#include <string>
#include <variant>
#include <vector>

namespace tabard::pipeline {

/// Where a time of the file is to go: to the frame that begins next to a time, or so many frames on.
using MoveTo = std::variant<Time, std::int64_t>;

struct MovedTime {
    std::string what; ///< "Move the end of Verse"
    std::vector<DocumentSet> edits;
};

/// Moves a time of the file onto a frame: "from" or "to" of a part or of a cue, a pin, or a whole part with all its
/// times. An edge that two parts share moves for both, unless bars hang on the other one. Written in the form that the
/// author used. Fails with not_found where the file has no such time, and with invalid_input where it would pass a
/// neighbour or leave the film.
Result<MovedTime> moved_time(LessonView const& view, DocumentPath const& path, MoveTo to, FrameClock const& frames);

} // namespace tabard::pipeline
