#pragma once
#include "pipeline/retime/csv_columns.h"
#include "pipeline/retime/cut_file.h"
#include "pipeline/time/time.h"

#include <optional>
#include <string>
#include <vector>

namespace tabard::pipeline {

/// The records of a table that are pieces, and where each holds what.
struct CsvTable {
    CsvColumns columns;
    bool has_heading = false;
    std::vector<CsvRecord> records;
    std::vector<std::string> remarks; ///< what was left out or decided, each a sentence for a person
};

/// Finds the heading, below titles that may stand above it, and leaves out a last record of totals and those whose
/// `keep` or `remove` says so. Without a heading the columns are from, to and at, or from, to and length where the
/// third value of every record is that. Fails with invalid_input, naming line and column: a table without a heading
/// whose first column may only count its lines, or whose one record has a third value that may be either; a word that
/// says neither yes nor no; a speed.
Result<CsvTable> csv_table(std::vector<CsvRecord> records, CutOptions const& options);

/// Empty where the record is shorter.
std::string const& field_of(CsvRecord const& record, std::size_t column);

/// A time of a record: as in a cue file, with a decimal comma too, and "s" behind it.
Result<Time> csv_time(CsvRecord const& record, std::size_t column, std::optional<FrameRate> rate);

} // namespace tabard::pipeline
