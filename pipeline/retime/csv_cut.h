#pragma once
#include "pipeline/retime/cut_file.h"

#include <string_view>

namespace tabard::pipeline {

/// Reads a plain list of kept pieces as a spreadsheet writes it: values between commas (RFC 4180), semicolons or tabs,
/// `sep=` first or not, decimal points or commas. `from,to[,at]` a line, or under a heading any columns among which
/// are `from` and `to` (or a length); words and synonyms in any case. Times as in a cue file. Without `at` a piece
/// follows the one before it. A list that two separators read differently is refused.
Result<CutReading> parse_csv_cut(std::string_view text, CutOptions const& options);

} // namespace tabard::pipeline
