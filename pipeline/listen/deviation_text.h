#pragma once
#include "pipeline/listen/listen.h"

#include <string>
#include <string_view>

namespace tabard::pipeline {

/// Where the playing leaves the chart, for a person: "stops after bar 4 at 0:37.0, goes on with bar 5 at 0:43.6".
std::string deviation_text(HeardDeviation const& deviation);
/// Its kind in a word, for a program: "pause".
std::string_view deviation_word(Deviation::Kind kind);

} // namespace tabard::pipeline
