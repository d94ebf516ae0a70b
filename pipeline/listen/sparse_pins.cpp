#include "pipeline/listen/sparse_pins.h"

#include <algorithm>
#include <cmath>

namespace tabard::pipeline {

namespace {

struct Knot {
    double seconds = 0;
    double tolerance = 0;
};

/// Where every beat is to be, and how exactly. A change is where it is heard, even if that is half a beat early.
std::vector<Knot> knots_of(ExpectedPart const& part, AlignedPart const& found, double change_tolerance,
                           double beat_tolerance)
{
    std::vector<Knot> knots;
    for (double const beat : found.beats)
        knots.push_back({beat, beat_tolerance});
    for (std::size_t n = 0; n < part.spans.size(); ++n) {
        if (part.changes(n))
            knots[static_cast<std::size_t>(part.spans[n].first_beat)] = {found.spans[n].seconds, change_tolerance};
    }
    for (BeatPin const& pin : part.pins)
        knots[static_cast<std::size_t>(pin.beat)] = {pin.seconds, 0};
    for (std::size_t n = 1; n < knots.size(); ++n) // times of a tempo map rise
        knots[n].seconds = std::max(knots[n].seconds, knots[n - 1].seconds + 0.02);
    return knots;
}

/// Marks the knots between two kept ones that the line between them misses.
void divide(std::vector<Knot> const& knots, std::size_t first, std::size_t last, std::vector<bool>& kept)
{
    double worst = 1;
    std::size_t split = first;
    for (std::size_t n = first + 1; n < last; ++n) {
        double const share = static_cast<double>(n - first) / static_cast<double>(last - first);
        double const line = std::lerp(knots[first].seconds, knots[last].seconds, share);
        double const miss = std::abs(knots[n].seconds - line) / std::max(knots[n].tolerance, 1e-6);
        if (miss > worst) {
            worst = miss;
            split = n;
        }
    }
    if (split == first)
        return;
    kept[split] = true;
    divide(knots, first, split, kept);
    divide(knots, split, last, kept);
}

} // namespace

std::vector<BeatPin> sparse_pins(ExpectedPart const& part, AlignedPart const& found, double change_tolerance,
                                 double beat_tolerance)
{
    auto const knots = knots_of(part, found, change_tolerance, beat_tolerance);
    std::vector<bool> kept(knots.size());
    kept.front() = kept.back() = true;
    for (BeatPin const& pin : part.pins)
        kept[static_cast<std::size_t>(pin.beat)] = true;
    std::size_t first = 0;
    for (std::size_t n = 1; n < knots.size(); ++n) {
        if (!kept[n])
            continue;
        divide(knots, first, n, kept);
        first = n;
    }
    std::vector<BeatPin> pins;
    for (std::size_t n = 0; n < knots.size(); ++n) {
        if (kept[n])
            pins.push_back({static_cast<int>(n), knots[n].seconds});
    }
    return pins;
}

} // namespace tabard::pipeline
