#pragma once
#include "pipeline/retime/csv_records.h"

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

namespace tabard::pipeline {

/// Where the records of a table hold what a piece needs, counted from 0.
struct CsvColumns {
    std::optional<std::size_t> from;
    std::optional<std::size_t> to;
    std::optional<std::size_t> at;
    std::optional<std::size_t> length; ///< used where there is no `to`
    std::optional<std::size_t> file;   ///< names the film that a piece is of
    std::vector<std::size_t> keep;     ///< says whether a piece is kept: yes, no
    std::vector<std::size_t> remove;   ///< says whether it is taken out
    std::vector<std::size_t> speed;
    std::size_t count = 3;
};

/// Small letters, those with accents of Latin-1 too.
std::string csv_word(std::string_view text);

/// Whether a word of the record heads a column that a piece needs.
bool names_columns(CsvRecord const& heading);

/// The columns under a heading; words and synonyms in any case, with or without the unit in which times are read.
/// Fails with invalid_input where `from`, or both `to` and a length are missing, two mean the same, or a unit is
/// another one.
Result<CsvColumns> columns_under(CsvRecord const& heading);

} // namespace tabard::pipeline
