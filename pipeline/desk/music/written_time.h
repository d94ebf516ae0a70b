#pragma once
#include "pipeline/cues/cue_document.h"
#include "pipeline/time/time.h"

#include <optional>

namespace tabard::pipeline {

/// How a time is written in a cue file: a number of seconds, "63.5", "1:03.5", or a label with frames.
struct TimeForm {
    bool number = false; ///< not a text
    bool minutes = true; ///< with a colon
    bool frames = false; ///< a label, at this rate
    bool semicolon = false;
    std::optional<FrameRate> rate;
};
TimeForm form_of(JsonValue const& written, std::optional<FrameRate> rate);

/// `time` in that form, as plainly as may be: labels where it is that of a frame, else decimals as many as it takes.
JsonValue written_time(Time time, TimeForm const& form = {});

/// `time` down to the millisecond: a cue that is a little early is on the frame that is on screen, a late one may be on
/// the next.
Time whole_milliseconds(Time time);

} // namespace tabard::pipeline
