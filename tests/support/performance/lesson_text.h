#pragma once
#include "tests/support/performance/performance.h"

#include <string>

namespace tabard::tests {

/// The cue file that an author of a performance starts from: charts, strums, and roughly the times.
std::string rough_lesson(Performance const& played);

/// The finished cue file, true: every bar line, and every place where the playing leaves the chart, is pinned `lead`
/// seconds before it. All cues are `shift` seconds late. Parts that are not played are left out.
std::string timed_lesson(Performance const& played, double shift = 0, double lead = 0.030);

} // namespace tabard::tests
