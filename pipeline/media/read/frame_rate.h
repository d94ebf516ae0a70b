#pragma once
#include "pipeline/media/media_info.h"

#include <cstdint>
#include <vector>

namespace tabard::pipeline {

struct RateFacts {
    FrameRate nominal;
    bool variable = false; ///< some picture stays longer or shorter than clock rounding explains
};

/// The usual rate (24000/1001 ... 120) within half a per cent of `per_second`, else the nearest thousandth.
FrameRate nearest_rate(double per_second);

/// From the distances between pictures in units of `clock`, all positive and at least one. A long first picture or a
/// few dropped ones do not move the nominal rate.
RateFacts rate_facts(std::vector<std::int64_t> steps, Ratio clock);

} // namespace tabard::pipeline
