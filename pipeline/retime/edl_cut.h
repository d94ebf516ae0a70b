#pragma once
#include "pipeline/retime/cut_file.h"

#include <string_view>

namespace tabard::pipeline {

/// Reads a CMX 3600 edit list (SMPTE 258M). options.rate must be set. The picture's events count; where there are none,
/// those of the sound. In a dissolve or wipe the map follows the outgoing picture until the middle, rounded down to a
/// frame. Record points are right: a speed (M2) only says how much of the source runs between them.
Result<CutReading> parse_edl_cut(std::string_view text, CutOptions const& options);

} // namespace tabard::pipeline
