#pragma once
#include "overlay/music/patterns/strum_pattern.h"
#include "pipeline/cues/bar_position.h"

#include <cmath>

namespace tabard::pipeline {

/// Ticks of a bar, and of a tempo pulse: of a beat as written, or of the group of three in compound meters.
constexpr std::int64_t bar_ticks(overlay::Meter meter) { return meter.beats * kTicksPerBeat; }
constexpr int beats_of_pulse(overlay::Meter meter) { return meter.beats / meter.pulses(); }
constexpr std::int64_t pulse_ticks(overlay::Meter meter) { return beats_of_pulse(meter) * kTicksPerBeat; }

/// Where step `step` of a bar begins, in ticks: steps are even, and the second half of a beat is moved by the swing.
inline std::int64_t step_offset(std::size_t step, overlay::StrumPattern const& pattern, overlay::Meter meter)
{
    std::int64_t const even =
        static_cast<std::int64_t>(step) * bar_ticks(meter) / static_cast<std::int64_t>(pattern.steps.size());
    std::int64_t const half = kTicksPerBeat / 2;
    std::int64_t const in_beat = even % kTicksPerBeat;
    auto const swung = static_cast<std::int64_t>(std::lround(pattern.swing * static_cast<double>(kTicksPerBeat)));
    std::int64_t const moved =
        in_beat < half ? in_beat * swung / half : swung + (in_beat - half) * (kTicksPerBeat - swung) / half;
    return even - in_beat + moved;
}

} // namespace tabard::pipeline
