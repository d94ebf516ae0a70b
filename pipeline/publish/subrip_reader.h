#pragma once
#include "pipeline/publish/read_captions.h"

namespace tabard::pipeline {

/// Reads the lines of a SubRip file (no published standard). Never fails: what is no caption is left out.
CaptionReading read_subrip(std::vector<std::string> const& lines);

} // namespace tabard::pipeline
