#pragma once
#include "overlay/base/result.h"
#include "overlay/drawing/stage.h"

#include <filesystem>

namespace tabard::pipeline {

/// Writes the corner into a cue file as the lesson's placement, before its last key where it has none yet; all else
/// stays. Errors: as read_document() and write_document().
Result<void> write_placement(std::filesystem::path const& cues, overlay::Corner corner);

} // namespace tabard::pipeline
