#pragma once
#include "pipeline/retime/export.h"
#include "pipeline/workspace/opened_lesson.h"

namespace tabard::pipeline {

/// A lesson as an editing program is to get it: its cues over the film, and how that is cut from the footage. Fails
/// with why the film cannot be read where its length is not known.
Result<ExportJob> export_job(OpenedLesson const& opened);

} // namespace tabard::pipeline
