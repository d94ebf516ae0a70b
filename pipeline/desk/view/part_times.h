#pragma once
#include "pipeline/cues/lesson.h"

#include <algorithm>
#include <cstdint>
#include <optional>

namespace tabard::pipeline {

/// When a part is on screen and what it shows, as far as the file says it without the parts beside it.
struct PartTimes {
    std::optional<Time> from; ///< as written, else of bar 1
    std::optional<Time> to;   ///< as written
    std::optional<Time> bars_from;
    std::optional<Time> bars_to;
    std::optional<Time> first_cue; ///< of "show"
    std::optional<Time> last_cue;  ///< its end, where that is written

    /// Until when it shows what is its own. `from` is there.
    Time shown_to() const { return std::max(bars_to.value_or(*from), last_cue.value_or(*from)); }
};
PartTimes part_times(Section const& section);

/// Where a part's bars begin: at bar 1, but for a piece that a cut has left.
std::int64_t first_tick(Section const& section);

} // namespace tabard::pipeline
