#pragma once
#include "pipeline/retime/cut_file.h"

#include <string_view>

namespace tabard::pipeline {

/// Reads a plain list of kept pieces, comma-separated values after RFC 4180: `from,to[,at]` a line, with or without
/// that header. Times as in a cue file. Without `at` a piece follows the one before it.
Result<CutReading> parse_csv_cut(std::string_view text, CutOptions const& options);

} // namespace tabard::pipeline
