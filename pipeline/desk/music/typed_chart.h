#pragma once
#include "pipeline/cues/chart.h"
#include "pipeline/cues/lesson.h"

#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

namespace tabard::pipeline {

/// What is wrong in a chart that is being typed, and where: `at` and `length` in bytes of the text.
struct ChartMistake {
    std::size_t at = 0;
    std::size_t length = 0;
    Severity severity = Severity::error;
    std::string what;
    std::string fix;
};

struct TypedChart {
    Chart chart;
    std::vector<ChartMistake> mistakes; ///< in order of place
};

/// Reads a chart as the reader of cue files would, where a new line is a new text of its list. Also says which names
/// are no chords and have no shape in the lesson, and for which no hand finds one in its tuning.
TypedChart typed_chart(std::string_view text, overlay::Meter meter, Lesson const& lesson);

/// UTF-16 units of UTF-8 text.
std::size_t utf16_units(std::string_view text);

} // namespace tabard::pipeline
