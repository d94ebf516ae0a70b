#include "pipeline/retime/edl_extent.h"

#include <algorithm>
#include <cmath>
#include <cstdlib>

namespace tabard::pipeline {
namespace {

/// Half of the last decimal of "047.6", and what a double adds.
constexpr double kHalfDecimal = 0.05 + 1e-9;
/// "000.1": 0 would hold the picture, so that all that is slower is written so too.
constexpr std::int64_t kSlowest = 100'000;

/// What `record_frames` show at a speed in millionths of frames a second, where `rate` frames a second are normal.
Time shown(std::int64_t record_frames, std::int64_t millionths, double rate, FrameRate frames)
{
    double const speed = static_cast<double>(millionths) / 1e6 / rate;
    double const flicks = static_cast<double>(from_frame(record_frames, frames).count()) * speed;
    return Time{std::llround(flicks)};
}

double exact(FrameRate rate) { return static_cast<double>(rate.num) / rate.den; }

bool is_decimal_of(double speed, std::int64_t millionths)
{
    return std::abs(speed - static_cast<double>(millionths) / 1e6) <= kHalfDecimal ||
           (millionths == kSlowest && speed < kHalfDecimal);
}

} // namespace

EdlExtent edl_extent(EdlEvent const& event, FrameRate rate)
{
    Time const in = from_frame(event.source_in, rate);
    std::int64_t const record = event.record_length();
    if (!event.speed)
        return {{in, in + from_frame(record, rate)}, event.source_length() == record};
    if (event.speed->millionths == 0)
        return {{in, in}, true};
    bool const runs_backwards = event.speed->millionths < 0;
    std::int64_t const first = runs_backwards ? std::min(event.source_in, event.source_out) : event.source_in;
    std::int64_t const last = runs_backwards ? std::max(event.source_in, event.source_out) : event.source_out;
    std::int64_t const source = last - first;
    std::int64_t const millionths = std::llabs(event.speed->millionths);
    // Lists at 29.97 call normal speed 30 or 29.97.
    double const nominal = std::ceil(exact(rate) - 1e-9);
    double const ratio = static_cast<double>(source) / static_cast<double>(record);
    Interval const labels{from_frame(first, rate), from_frame(last, rate)};
    if (source > 0 && (is_decimal_of(ratio * exact(rate), millionths) || is_decimal_of(ratio * nominal, millionths)))
        return {labels, true};
    Time const by_rate = shown(record, millionths, exact(rate), rate);
    Time const by_name = shown(record, millionths, nominal, rate);
    auto const off = [&](Time length) { return std::chrono::abs(length - labels.length()); };
    Time const length = off(by_name) < off(by_rate) ? by_name : by_rate;
    std::int64_t const frames = std::llabs(to_ticks(length, rate.den, rate.num) - source);
    bool const is_near = source > 0 && frames <= 1 + record / 250;
    // What runs backwards is first seen at its out point.
    if (is_near && runs_backwards)
        return {{labels.to - length, labels.to}, true};
    return {{labels.from, labels.from + length}, is_near || source == record};
}

KeptSpan edl_running_on(EdlEvent const& event, FrameRate rate)
{
    constexpr std::int64_t kFrames = 1000;
    Time const at = from_frame(event.source_in, rate);
    Interval const target{from_frame(event.record_in, rate), from_frame(event.record_in + kFrames, rate)};
    if (!event.speed)
        return {{at, at + target.length()}, target, Motion::forward};
    if (event.speed->millionths == 0)
        return {{at, at}, target, Motion::freeze};
    Time const length = shown(kFrames, std::llabs(event.speed->millionths), exact(rate), rate);
    if (event.speed->millionths < 0)
        return {{at - length, at}, target, Motion::reverse};
    return {{at, at + length}, target, Motion::forward};
}

} // namespace tabard::pipeline
