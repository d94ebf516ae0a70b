#pragma once
#include "overlay/base/result.h"
#include "overlay/music/meter.h"

#include <compare>
#include <cstdint>
#include <string>
#include <string_view>

namespace tabard::pipeline {

/// Parts of a beat that a position may name: 1/2 to 1/10, 1/12, 1/16 and more are exact.
constexpr std::int64_t kTicksPerBeat = 5040;

/// A place in a chart as players say it: bar and beat, both from 1. Beats are those of the meter as written: 6/8 has
/// six. `ticks` lies between the beat and the next, 0 <= ticks < kTicksPerBeat.
struct BarPosition {
    int bar = 1;
    int beat = 1;
    std::int64_t ticks = 0;
    friend auto operator<=>(BarPosition const&, BarPosition const&) = default;

    /// Reads "5.1", "5" (its first beat) and "5.2+1/3" (a third of a beat after beat two). Fails with invalid_input.
    static Result<BarPosition> parse(std::string_view text);
    std::string text() const;
    /// Ticks since the first beat of bar 1.
    constexpr std::int64_t offset(overlay::Meter meter) const
    {
        return (std::int64_t{bar - 1} * meter.beats + (beat - 1)) * kTicksPerBeat + ticks;
    }
    static constexpr BarPosition from_offset(std::int64_t offset, overlay::Meter meter)
    {
        std::int64_t const bar_length = meter.beats * kTicksPerBeat;
        std::int64_t const bar = (offset >= 0 ? offset : offset - bar_length + 1) / bar_length;
        std::int64_t const rest = offset - bar * bar_length;
        return {static_cast<int>(bar) + 1, static_cast<int>(rest / kTicksPerBeat) + 1, rest % kTicksPerBeat};
    }
};

} // namespace tabard::pipeline
