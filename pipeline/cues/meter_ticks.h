#pragma once
#include "pipeline/cues/bar_position.h"

namespace tabard::pipeline {

/// Ticks of a bar, and of a tempo pulse: of a beat as written, or of the group of three in compound meters.
constexpr std::int64_t bar_ticks(overlay::Meter meter) { return meter.beats * kTicksPerBeat; }
constexpr int beats_of_pulse(overlay::Meter meter) { return meter.beats / meter.pulses(); }
constexpr std::int64_t pulse_ticks(overlay::Meter meter) { return beats_of_pulse(meter) * kTicksPerBeat; }

} // namespace tabard::pipeline
