#pragma once
#include "overlay/base/result.h"
#include "pipeline/time/edit_map.h"

#include <optional>
#include <string>

#include <nlohmann/json_fwd.hpp>

namespace tabard::pipeline {

/// A RationalTime with its rate, where that is one of frames: rates may differ within one file.
struct OtioTime {
    Time time{0};
    std::optional<FrameRate> rate;
};

/// Reads {"value": 24, "rate": 24.0}: value / rate seconds. The decimals of the /1.001 rates mean these exactly. Fails
/// with invalid_input, naming `place`, where it is no time of a film.
Result<OtioTime> otio_time(nlohmann::ordered_json const& object, std::string const& place);
Result<OtioTime> otio_time_member(nlohmann::ordered_json const& object, char const* key, std::string const& place);
/// Reads a TimeRange as [start, start + duration).
Result<Interval> otio_range(nlohmann::ordered_json const& object, std::string const& place);

} // namespace tabard::pipeline
