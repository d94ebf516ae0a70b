#pragma once
#include "pipeline/check/checker.h"

#include <string_view>
#include <vector>

namespace tabard::pipeline {

/// The findings that `check --json` printed (see json_text() in check/formats.h). Fails with decode where it is no such
/// document.
Result<std::vector<FoldedFinding>> told_findings(std::string_view json);

} // namespace tabard::pipeline
