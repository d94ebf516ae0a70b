#include "pipeline/listen/part_place.h"

#include <algorithm>

namespace tabard::pipeline {

namespace {

constexpr float kPlaceCap = 16; ///< nats that a wrong place may cost at most, over its usual error in seconds

} // namespace

std::optional<double> place_of(ExpectedPart const& part, double beat_seconds)
{
    if (!part.pins.empty())
        return part.pins.front().seconds - part.pins.front().beat * beat_seconds;
    return part.about;
}

double expected_seconds(ExpectedPart const& part, int first_beat, int beats, double beat_seconds)
{
    for (std::size_t n = 1; n < part.pins.size(); ++n) {
        BeatPin const& low = part.pins[n - 1];
        BeatPin const& high = part.pins[n];
        if (low.beat <= first_beat && first_beat < high.beat)
            return beats * (high.seconds - low.seconds) / (high.beat - low.beat);
    }
    return beats * beat_seconds;
}

float place_score(std::optional<double> place, double deviation, double seconds)
{
    if (!place)
        return 0;
    double const off = (seconds - *place) / deviation;
    return -std::min(static_cast<float>(0.5 * off * off), kPlaceCap / static_cast<float>(deviation));
}

} // namespace tabard::pipeline
