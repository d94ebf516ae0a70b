#pragma once
#include "pipeline/time/edit_map.h"

#include <map>
#include <vector>

namespace tabard::pipeline {

/// A growing set of time: what has been covered so far, as stretches that do not touch.
class Coverage {
public:
    /// Adds a stretch and returns the parts of it that were not covered before, rising.
    std::vector<Interval> add(Interval stretch);
    /// All that is covered, rising.
    std::vector<Interval> stretches() const;

private:
    std::map<Time, Time> m_ends; ///< by start
};

} // namespace tabard::pipeline
