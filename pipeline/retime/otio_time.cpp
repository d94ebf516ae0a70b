#include "pipeline/retime/otio_time.h"

#include <cmath>

#include <fmt/format.h>
#include <nlohmann/json.hpp>

namespace tabard::pipeline {
namespace {

using Json = nlohmann::ordered_json;

Error wrong(std::string const& place, std::string const& what)
{
    return {ErrorKind::invalid_input, fmt::format("{}: {}", place, what)};
}

/// The fraction that a rate written as a decimal means; none for rates that are no whole number of frames.
std::optional<FrameRate> exact_rate(double rate)
{
    double const whole = std::round(rate);
    if (whole >= 1 && std::abs(rate - whole) < 1e-6)
        return FrameRate{static_cast<std::int32_t>(whole), 1};
    double const ntsc = std::round(rate * 1.001);
    // 29.97 and 23.976 are off by 1e-4 and 2e-5.
    if (ntsc >= 1 && std::abs(rate * 1.001 - ntsc) < 1e-3)
        return FrameRate{static_cast<std::int32_t>(ntsc) * 1000, 1001};
    return std::nullopt;
}

} // namespace

Result<OtioTime> otio_time(Json const& object, std::string const& place)
{
    if (!object.is_object() || !object.contains("value") || !object.contains("rate") || !object["value"].is_number() ||
        !object["rate"].is_number())
        return wrong(place, "a time needs a number as value and a number as rate");
    double const value = object["value"].get<double>();
    double const rate = object["rate"].get<double>();
    if (!(rate > 0) || !(rate <= 1e6))
        return wrong(place, fmt::format("a rate of {} a second cannot be", rate));
    if (!(std::abs(value / rate) < to_seconds(kLatestTime) / 8))
        return wrong(place, fmt::format("{} at {} a second is longer than any film", value, rate));
    auto const exact = exact_rate(rate);
    bool const whole_frames = exact && value == std::floor(value);
    return OtioTime{whole_frames ? from_frame(static_cast<std::int64_t>(value), *exact)
                    : exact      ? from_seconds(value * exact->den / exact->num)
                                 : from_seconds(value / rate),
                    exact};
}

Result<OtioTime> otio_time_member(Json const& object, char const* key, std::string const& place)
{
    auto const found = object.find(key);
    if (found == object.end() || found->is_null())
        return OtioTime{};
    return otio_time(*found, fmt::format("{}/{}", place, key));
}

Result<Interval> otio_range(Json const& object, std::string const& place)
{
    if (!object.is_object())
        return wrong(place, "a range needs start_time and duration");
    TRY_ASSIGN(OtioTime const start, otio_time_member(object, "start_time", place));
    TRY_ASSIGN(OtioTime const duration, otio_time_member(object, "duration", place));
    if (duration.time < Time{0})
        return wrong(place, "a duration is negative");
    return Interval{start.time, start.time + duration.time};
}

} // namespace tabard::pipeline
