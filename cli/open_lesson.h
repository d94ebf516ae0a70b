#pragma once
#include "cli/console.h"
#include "pipeline/workspace/workspace.h"

namespace tabard::cli {

/// Says what the cut holds that the lesson cannot follow.
void say_remarks(pipeline::OpenedLesson const& opened, Console const& console);

/// Workspace::open(). What is to be said of the cut is said on the console.
Result<pipeline::OpenedLesson> open_lesson(pipeline::LessonRequest const& request, pipeline::Workspace& workspace,
                                           Console const& console);

} // namespace tabard::cli
