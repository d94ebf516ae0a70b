#pragma once
#include "overlay/base/result.h"

#include <string>
#include <string_view>
#include <vector>

namespace tabard::pipeline {

/// A line of a table; one with quoted line ends is longer than a line of its file.
struct CsvRecord {
    int line = 1;                    ///< its first
    std::vector<std::string> fields; ///< without blanks at their ends; at least one
};

/// Fields between separators, quoted where they hold separators, quotes (doubled) or line ends (RFC 4180). Empty lines
/// and comments (a first field of "#" and words, and no number after it) are left out. `line` is the number of the
/// text's first line. Fails with invalid_input, naming the line, where quotes do not fit.
Result<std::vector<CsvRecord>> read_csv_records(std::string_view text, char separator, int line);

/// "line 3: what".
Error wrong_line(int line, std::string const& what);

} // namespace tabard::pipeline
