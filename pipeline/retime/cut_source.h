#pragma once
#include "overlay/base/result.h"
#include "pipeline/retime/cut_file.h"

#include <optional>
#include <string>
#include <vector>

namespace tabard::pipeline {

/// A tape or file that a cut list draws on, with every name the list has for it.
struct CutSource {
    std::vector<std::string> names;
    int uses = 0; ///< shots of it that are seen
};

/// A stretch of the new film's picture and the source that it shows.
struct CutShot {
    std::size_t source = 0; ///< index into the list's sources
    KeptSpan span;
};

/// Which of the sources that are seen are the footage: those named by options.source, else those whose name is that of
/// options.footage, else the only one there is. Fails with invalid_input, listing the sources, where that is none.
Result<std::vector<std::size_t>> choose_sources(std::vector<CutSource> const& sources, CutOptions const& options);

/// Whether two names mean one file: folders, extensions, case and signs do not count, and edit lists cut names to eight
/// characters.
bool same_source_name(std::string_view a, std::string_view b);

/// Whether no stretch that is kept begins before the end of the footage, where that is known.
bool lies_past(EditMap const& map, std::optional<Time> footage_length);

/// The map of the shots that show the footage, with a remark for those that do not.
Result<CutReading> cut_of_shots(std::vector<CutShot> const& shots, std::vector<CutSource> const& sources,
                                CutOptions const& options);

} // namespace tabard::pipeline
