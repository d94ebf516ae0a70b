#pragma once
#include "cli/console.h"
#include "pipeline/check/checker.h"
#include "pipeline/workspace/workspace.h"

namespace tabard::cli {

/// Says on the console how many errors and warnings `tabard check --quick` finds in a lesson that a command works on,
/// and the command that lists them; nothing where there are none. Gives what it found.
pipeline::CheckResult say_findings(pipeline::LessonRequest const& request, pipeline::OpenedLesson const& opened,
                                   Console const& console);

} // namespace tabard::cli
