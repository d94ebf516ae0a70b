#pragma once
#include "pipeline/time/time.h"

#include <cstdint>
#include <vector>

namespace tabard::pipeline {

/// When events must begin and end so that they change with pictures, in a file that counts milliseconds.
class PictureStamps {
public:
    /// `times` rise; the last picture stays until `end`.
    PictureStamps(std::vector<Time> const& times, Time end);

    /// The instant for what begins or ends with the picture at `time` (one of `times`, or `end`): after the picture
    /// before it and before it, so that neither a rounded time of the picture nor a player's haste shows the wrong one.
    /// Whole hundredths of a second, which other files of such events count in, where a picture lasts 12 ms or longer.
    std::int64_t change_at(Time time) const;
    /// The picture before the one at `time`, in milliseconds.
    std::int64_t picture_before(Time time) const;

private:
    std::vector<Time> m_times; ///< and the end
};

} // namespace tabard::pipeline
