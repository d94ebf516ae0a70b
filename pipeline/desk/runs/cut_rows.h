#pragma once
#include "overlay/base/result.h"

#include <string>
#include <string_view>

namespace tabard::pipeline {

/// What a cut did to a lesson, as the page gets it: a row for each part, and for each other cue that did not simply
/// move, in the order of the old film. `report`: what `retime --report` wrote; `said`: what it said on standard error,
/// which joins the remarks; `lesson`: the cue file that was made, `film`: the new film in the folder, or empty. Fails
/// with decode where the report is none.
Result<std::string> cut_rows(std::string_view report, std::string_view said, std::string const& lesson,
                             std::string const& film);

} // namespace tabard::pipeline
