#pragma once
#include "cli/console.h"
#include "pipeline/workspace/workspace.h"

namespace tabard::cli {

/// Workspace::open(). What a cut holds that the lesson cannot follow is said on the console.
Result<pipeline::OpenedLesson> open_lesson(pipeline::LessonRequest const& request, pipeline::Workspace& workspace,
                                           Console const& console);

} // namespace tabard::cli
