#pragma once
#include "tests/support/performance/performance.h"

#include <cstddef>
#include <optional>
#include <string>

namespace tabard::tests {

/// The cue file that an author of a performance starts from: charts, strums, and roughly the times.
std::string rough_lesson(Performance const& played);

/// Which cues of a finished cue file are later than they should be, and by how many seconds: all, or those of one part,
/// or of some bars in each part.
struct CueMove {
    double seconds = 0;
    std::optional<std::size_t> part{};
    std::size_t first_bar = 0;
    std::size_t bars = 1000;
};

/// The finished cue file, true: every bar line, and every place where the playing leaves the chart, is pinned `lead`
/// seconds before it, but for what is moved. Parts that are not played are left out.
std::string timed_lesson(Performance const& played, CueMove const& move = {}, double lead = 0.030);

} // namespace tabard::tests
