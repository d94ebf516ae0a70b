#pragma once
#include "overlay/base/result.h"
#include "pipeline/cues/lesson_file.h"

#include <optional>
#include <string>
#include <string_view>

// What was heard in the film beside what the cue file says, as the page gets it. Nothing of it is taken before the
// author says so.
namespace tabard::pipeline {

/// What `listen --json` printed of this file: each part as it is and as it was heard, with the edits that take it. The
/// edits of one part bring the ends of the parts beside it along as `listen -o` does; taken one after the other, in any
/// order, those of all sure parts make the file that `listen -o` writes. Where another part that was heard
/// cannot stay as it is (one would lie over the other), its ends are taken too, or all of it; "with" names it. `part`:
/// only this one; none: all. Fails with decode where `heard` is no such document, or is of a file with other parts.
Result<std::string> heard_parts(std::string_view heard, LessonFile const& file, std::optional<int> part);

/// What `start` proposed (a cue file) for the film of this file, whose author has written no part yet: its parts, and
/// the edits that take them all. Where there are parts already, no edits.
Result<std::string> proposed_parts(std::string_view proposed, LessonFile const& file);

} // namespace tabard::pipeline
