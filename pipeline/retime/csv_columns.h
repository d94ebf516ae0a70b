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
    std::optional<std::size_t> at_end; ///< where the piece ends in the new film
    std::optional<std::size_t> length; ///< used where there is no `to`
    std::optional<std::size_t> file;   ///< names the film that a piece is of, or the piece
    std::optional<std::size_t> reel;   ///< names the tape or medium that a piece is of
    std::vector<std::size_t> keep;     ///< says whether a piece is kept: yes, no
    std::vector<std::size_t> remove;   ///< says whether it is taken out
    std::vector<std::size_t> speed;
    std::vector<std::size_t> track;
    std::vector<std::size_t> order;   ///< numbers the pieces
    std::vector<std::size_t> unknown; ///< under any other heading
    std::size_t count = 3;
};

/// Whether a word of the record heads a column that a piece needs.
bool names_columns(CsvRecord const& heading);

/// The columns under a heading; words and synonyms in any case, with or without the unit in which times are read.
/// Fails with invalid_input where `from`, or both `to` and a length are missing, two mean the same, or a unit is
/// another one.
Result<CsvColumns> columns_under(CsvRecord const& heading);

} // namespace tabard::pipeline
