#pragma once
#include "pipeline/check/checker.h"
#include "pipeline/cues/cue_document.h"

#include <vector>

#include <nlohmann/json_fwd.hpp>

namespace tabard::pipeline {

/// Findings as the page gets them: a JSON list, each with its part, the way to its place in `document`, and edits that
/// fix it where it is certain what is meant. `document`: the cue file that they were found in.
nlohmann::ordered_json findings_json(std::vector<FoldedFinding> const& findings, JsonValue const& document);

} // namespace tabard::pipeline
