#pragma once
#include <chrono>
#include <cstdint>
#include <numeric>

namespace tabard::pipeline {

/// A point or a span on the media timeline: an integer count of 1/705 600 000 s (the published open unit "flick").
/// Exact for 24, 25, 30, 48, 50, 60, 90, 100, 120 frames per second and their /1.001 rates, for 44.1 and 48 kHz sound
/// and for 90 kHz clocks. Negative is allowed; the range is about +-414 years. 8 bytes: pass by value. There is no
/// conversion from floating point to Time but `from_seconds`, for values a person typed or a signal gave.
using Time = std::chrono::duration<std::int64_t, std::ratio<1, 705'600'000>>;

constexpr std::int64_t kFlicksPerSecond = 705'600'000;

/// Frames per second as an exact fraction, e.g. {30000, 1001}. Both parts are positive.
struct FrameRate {
    std::int32_t num = 25;
    std::int32_t den = 1;
    friend constexpr bool operator==(FrameRate, FrameRate) = default;
};

/// The value `ticks` of a clock that counts in units of num/den seconds, to the nearest flick (halves away from zero).
constexpr Time from_ticks(std::int64_t ticks, std::int64_t num, std::int64_t den)
{
    __extension__ using Wide = __int128;
    Wide const scaled = Wide{ticks} * num * kFlicksPerSecond;
    Wide const half = den / 2;
    return Time{static_cast<std::int64_t>((scaled >= 0 ? scaled + half : scaled - half) / den)};
}

/// The inverse: `time` on a clock of num/den second units, to the nearest unit (halves away from zero).
constexpr std::int64_t to_ticks(Time time, std::int64_t num, std::int64_t den)
{
    __extension__ using Wide = __int128;
    Wide const scaled = Wide{time.count()} * den;
    Wide const unit = Wide{num} * kFlicksPerSecond;
    Wide const half = unit / 2;
    return static_cast<std::int64_t>((scaled >= 0 ? scaled + half : scaled - half) / unit);
}

/// Start of frame `index` at a constant rate.
constexpr Time from_frame(std::int64_t index, FrameRate rate) { return from_ticks(index, rate.den, rate.num); }

/// The frame on screen at `time` at a constant rate: frame n covers [from_frame(n), from_frame(n + 1)).
constexpr std::int64_t frame_at(Time time, FrameRate rate)
{
    std::int64_t frame = to_ticks(time, rate.den, rate.num);
    while (from_frame(frame, rate) > time)
        --frame;
    while (from_frame(frame + 1, rate) <= time)
        ++frame;
    return frame;
}

/// Seconds as a double, for printing and for signal mathematics only.
constexpr double to_seconds(Time time)
{
    return static_cast<double>(time.count()) / static_cast<double>(kFlicksPerSecond);
}

/// The nearest flick to a number of seconds that was measured or typed.
constexpr Time from_seconds(double seconds)
{
    double const flicks = seconds * static_cast<double>(kFlicksPerSecond);
    return Time{static_cast<std::int64_t>(flicks >= 0 ? flicks + 0.5 : flicks - 0.5)};
}

} // namespace tabard::pipeline
