#pragma once
#include "pipeline/time/time.h"

namespace tabard::pipeline {

/// What a timeline must know of its footage.
struct MediaFacts {
    Time first_picture{0}; ///< presentation time of the first picture
    Time duration{0};      ///< end of the last picture
    FrameRate rate;        ///< nominal: pictures have times of their own
    friend bool operator==(MediaFacts const&, MediaFacts const&) = default;
};

} // namespace tabard::pipeline
