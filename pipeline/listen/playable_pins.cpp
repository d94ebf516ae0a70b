#include "pipeline/listen/playable_pins.h"

#include <algorithm>
#include <cmath>

namespace tabard::pipeline {
namespace {

bool is_playable(BeatPin const& before, BeatPin const& after, TempoLimits limits)
{
    constexpr double kRounding = 0.001; // half a millisecond at both ends
    auto const from = before.goes_on.value_or(BeatPin::GoesOn{before.beat, before.seconds});
    double const seconds = after.seconds - from.seconds;
    double const beats = after.beat - from.beat;
    return seconds - kRounding >= beats * limits.shortest_beat && seconds + kRounding <= beats * limits.longest_beat;
}

} // namespace

bool are_playable(std::vector<BeatPin> const& pins, TempoLimits limits)
{
    return std::ranges::adjacent_find(
               pins, [limits](BeatPin const& a, BeatPin const& b) { return !is_playable(a, b, limits); }) == pins.end();
}

std::vector<BeatPin> playable_pins(std::vector<BeatPin> pins, std::vector<BeatPin> const& fixed, TempoLimits limits)
{
    auto const may_go = [&](std::size_t n) {
        return n > 0 && n + 1 < pins.size() && !pins[n].goes_on &&
               std::ranges::find(fixed, pins[n].beat, &BeatPin::beat) == fixed.end();
    };
    for (std::size_t n = 0; n + 1 < pins.size();) {
        bool const sound = is_playable(pins[n], pins[n + 1], limits);
        std::size_t const wrong = may_go(n + 1) ? n + 1 : n;
        if (sound || !may_go(wrong)) {
            ++n;
            continue;
        }
        pins.erase(pins.begin() + static_cast<std::ptrdiff_t>(wrong));
        n = n > 0 ? n - 1 : 0; // the pair that this leaves may be wrong as well
    }
    return pins;
}

} // namespace tabard::pipeline
