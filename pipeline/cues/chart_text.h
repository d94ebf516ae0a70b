#pragma once
#include "pipeline/cues/source_position.h"

#include <string>
#include <string_view>
#include <vector>

namespace tabard::pipeline {

/// A chart's text put together from its lines, with the place of each byte, and of the one past it once it is whole.
struct ChartText {
    std::string text;
    std::vector<SourcePosition> places;

    /// One more line: it begins with a new bar, whether a | stands at the join or not. `line_places`: of each byte of
    /// `line` and one past it.
    void append_line(std::string_view line, std::vector<SourcePosition> line_places);
};

} // namespace tabard::pipeline
