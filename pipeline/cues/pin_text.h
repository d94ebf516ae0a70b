#pragma once
#include "pipeline/cues/cue_document.h"
#include "pipeline/cues/lesson.h"

#include <optional>
#include <string>
#include <string_view>

namespace tabard::pipeline {

/// What stands on both sides of the word in "0:37 to 0:43.6", without blanks; one text alone has no `to`.
struct WrittenEnds {
    std::string_view from;
    std::optional<std::string_view> to;
};
WrittenEnds written_ends(std::string_view text);
WrittenEnds written_ends(std::string&& text) = delete; ///< the ends would point into what is gone

/// A pin that the program wrote: its place and its time as below, without frames. Fails with invalid_input.
Result<Pin> parse_pin(std::string_view place, std::string_view time);
/// A pin's place as a cue file says it: "5.1", or "5.1 to 7.1" where bars are skipped.
std::string pin_place(Pin const& pin);
/// A pin's time as a cue file says it: "0:37", or "0:37 to 0:43.6" where the playing stops.
std::string pin_time(Pin const& pin);
/// The pin as it stands in "pins": its place and its time.
JsonValue pin_value(Pin const& pin);

} // namespace tabard::pipeline
