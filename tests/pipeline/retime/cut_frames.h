#pragma once
#include "pipeline/retime/cut_file.h"

#include <cstdint>
#include <ostream>
#include <vector>

namespace tabard::pipeline {

/// A kept stretch in whole frames, as an editor counts them.
struct Frames {
    std::int64_t source_from;
    std::int64_t source_to;
    std::int64_t from;
    std::int64_t to;
    Motion motion = Motion::forward;
    friend bool operator==(Frames, Frames) = default;
    friend std::ostream& operator<<(std::ostream& out, Frames const& f)
    {
        return out << f.source_from << ".." << f.source_to << " -> " << f.from << ".." << f.to
                   << (f.motion == Motion::forward  ? ""
                       : f.motion == Motion::freeze ? " freeze"
                                                    : " reverse");
    }
};

inline std::vector<Frames> in_frames(EditMap const& map, FrameRate rate)
{
    std::vector<Frames> result;
    for (KeptSpan const& span : map.spans())
        result.push_back({to_ticks(span.source.from, rate.den, rate.num), to_ticks(span.source.to, rate.den, rate.num),
                          to_ticks(span.target.from, rate.den, rate.num), to_ticks(span.target.to, rate.den, rate.num),
                          span.motion});
    return result;
}

} // namespace tabard::pipeline
