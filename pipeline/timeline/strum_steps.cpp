#include "pipeline/timeline/strum_steps.h"

#include "pipeline/cues/meter_ticks.h"

#include <algorithm>

namespace tabard::pipeline {
namespace {

/// When the playing first stops in [from, to), or when it reaches `to`.
Time end_of_step(TempoMap const& map, std::int64_t from, std::int64_t to)
{
    auto const& stops = map.stops();
    auto const within = std::ranges::upper_bound(stops, from, {}, &TempoMap::Stop::place);
    for (auto stop = within; stop != stops.end() && stop->place < to; ++stop)
        if (stop->pauses())
            return stop->time;
    return map.end_at(to);
}

} // namespace

std::vector<PlayedStep> played_steps(overlay::StrumPattern const& pattern, int bars, TempoMap const& map)
{
    std::vector<PlayedStep> steps;
    overlay::Meter const meter = map.meter();
    for (int bar = 0; bar < bars; ++bar) {
        for (std::size_t step = 0; step < pattern.steps.size(); ++step) {
            std::int64_t const from = bar * bar_ticks(meter) + step_offset(step, pattern, meter);
            std::int64_t const to = step + 1 == pattern.steps.size()
                                        ? (bar + 1) * bar_ticks(meter)
                                        : bar * bar_ticks(meter) + step_offset(step + 1, pattern, meter);
            if (!map.skips(from))
                steps.push_back({map.time_at(from), end_of_step(map, from, to), static_cast<int>(step), from});
        }
    }
    return steps;
}

} // namespace tabard::pipeline
