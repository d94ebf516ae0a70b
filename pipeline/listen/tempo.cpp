#include "pipeline/listen/tempo.h"

#include "pipeline/listen/chord_changes.h"
#include "pipeline/listen/stroke_grid.h"
#include "pipeline/listen/strokes.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>
#include <span>
#include <vector>

namespace tabard::pipeline {

namespace {

constexpr double kFastest = 0.36; ///< seconds a pulse
constexpr double kSlowest = 1.7;

/// Where in a pulse strokes fall, as shares of it, and how many are to be expected there.
struct Place {
    double at;
    double strokes;
};

struct Feel {
    std::vector<Place> places;
    double rarity; ///< nats against it before anything is heard
};

/// A meter as it is looked for.
struct Metre {
    overlay::Meter meter;
    std::vector<Feel> feels;
    std::vector<double> changes; ///< share of the bars in which the chord changes there, a pulse
    double usual;                ///< pulses a minute (common practice, no published source)
    double spread;               ///< standard deviation of its logarithm
    double rarity;               ///< nats against it before anything is heard
};

std::vector<Metre> const& metres()
{
    static std::vector<Feel> const simple{{{{0, 0.9}, {0.5, 0.1}}, 0},
                                          {{{0, 0.9}, {0.5, 0.65}}, 0},
                                          {{{0, 0.9}, {0.25, 0.4}, {0.5, 0.75}, {0.75, 0.5}}, 1.7},
                                          {{{0, 0.9}, {1.0 / 3, 0.1}, {2.0 / 3, 0.6}}, 0.8}};
    static std::vector<Feel> const compound{{{{0, 0.95}, {1.0 / 3, 0.5}, {2.0 / 3, 0.7}}, 0}};
    static std::vector<Metre> const all{
        {{4, 4}, simple, {0.75, 0.03, 0.18, 0.03}, 112, 0.30, 0},
        {{3, 4}, simple, {0.75, 0.04, 0.04}, 108, 0.28, 1.2},
        {{6, 8}, compound, {0.75, 0.12}, 53, 0.28, 1.3},
    };
    return all;
}

/// The same counted in pulses of `steps` of the grid, the first of which begins at number `shift`.
std::vector<double> counted(std::vector<double> places, int steps, int shift)
{
    for (double& place : places)
        place = (place - shift) / steps;
    return places;
}

double normal(double off, double deviation)
{
    return std::exp(-0.5 * off * off / (deviation * deviation)) / (deviation * std::sqrt(2 * std::numbers::pi));
}

/// How likely strokes are by a feel, as a Poisson process with peaks, in nats.
double stroke_nats(std::vector<double> const& places, double beats, double pulse, std::vector<Place> const& feel)
{
    constexpr double kDeviation = 0.022; // seconds
    constexpr double kElsewhere = 0.12;  // strokes a pulse
    double total = kElsewhere;
    for (Place const& place : feel)
        total += place.strokes;
    double nats = -beats * total;
    for (double const place : places) {
        double const share = place - std::floor(place);
        double rate = kElsewhere / pulse;
        for (Place const& expected : feel) {
            double const off = std::abs(share - expected.at);
            rate += expected.strokes * normal(std::min(off, 1 - off) * pulse, kDeviation);
        }
        nats += std::log(rate);
    }
    return nats;
}

/// How likely chord changes are where bars begin at beat number `first`.
double change_nats(std::vector<double> const& places, double beats, double pulse, Metre const& metre, int first)
{
    constexpr double kDeviation = 0.09;
    constexpr double kElsewhere = 0.06; // changes a bar
    auto const pulses = static_cast<double>(metre.changes.size());
    double nats = -beats / pulses * kElsewhere;
    for (double const share : metre.changes)
        nats += beats / pulses * std::log(1 - share);
    for (double const place : places) {
        double rate = kElsewhere / (pulses * pulse);
        for (std::size_t n = 0; n < metre.changes.size(); ++n) {
            double const off = std::remainder(place - first - static_cast<double>(n), pulses);
            rate += metre.changes[n] / (1 - metre.changes[n]) * normal(off * pulse, kDeviation);
        }
        nats += std::log(rate);
    }
    return nats;
}

/// How much stronger strokes on beats are than those between, as a logarithm.
double accent(Strokes const& strokes, std::vector<double> const& places)
{
    double on = 0;
    double off = 0;
    double count_on = 1e-9;
    double count_off = 1e-9;
    for (std::size_t n = 0; n < places.size(); ++n) {
        double const strength = std::log(0.05 + strokes.weights[n]);
        if (std::abs(std::remainder(places[n], 1)) < 0.1) {
            on += strength;
            ++count_on;
        } else {
            off += strength;
            ++count_off;
        }
    }
    return count_on < 3 || count_off < 3 ? 0.0 : on / count_on - off / count_off;
}

/// One way to count what is played.
struct Reading {
    double pulse;
    overlay::Meter meter;
    double nats;
};

bool same_pulse(Reading const& a, Reading const& b, double tolerance)
{
    return std::abs(std::log(a.pulse / b.pulse)) < tolerance;
}

/// Keeps the better of two that say the same.
void add_reading(std::vector<Reading>& readings, Reading const& reading)
{
    constexpr double kSame = 0.025;
    auto const known = std::ranges::find_if(readings, [&](Reading const& other) {
        return other.meter == reading.meter && same_pulse(other, reading, kSame);
    });
    if (known == readings.end())
        readings.push_back(reading);
    else if (reading.nats > known->nats)
        *known = reading;
}

/// How likely strokes and chord changes are when `steps` of the grid are one pulse.
void read_pulses(Strokes const& strokes, std::vector<double> const& stroke_steps,
                 std::vector<double> const& change_steps, std::vector<double> const& grid, int steps,
                 std::vector<Reading>& readings)
{
    // Settled on built lessons (start_bench --tune). Strokes are many and hang together: each is worth less than one.
    constexpr double kStrokesCount = 0.15;
    constexpr double kChangesCount = 0.55;
    constexpr double kAccent = 3;
    double const pulse = steps * (grid.back() - grid.front()) / static_cast<double>(grid.size() - 1);
    if (pulse < kFastest || pulse > kSlowest)
        return;
    auto const count = static_cast<double>(grid.size()) / steps;
    for (int shift = 0; shift < steps; ++shift) {
        auto const stroke_places = counted(stroke_steps, steps, shift);
        auto const change_places = counted(change_steps, steps, shift);
        double const louder = accent(strokes, stroke_places);
        for (Metre const& metre : metres()) {
            double feel = -std::numeric_limits<double>::infinity();
            for (Feel const& each : metre.feels)
                feel =
                    std::max(feel, kStrokesCount * stroke_nats(stroke_places, count, pulse, each.places) - each.rarity);
            double bars = -std::numeric_limits<double>::infinity();
            for (int first = 0; first < std::ssize(metre.changes); ++first)
                bars = std::max(bars, change_nats(change_places, count, pulse, metre, first));
            double const tempo = std::log(60 / pulse / metre.usual) / metre.spread;
            add_reading(readings,
                        {pulse, metre.meter,
                         feel + kChangesCount * bars + kAccent * louder - 0.5 * tempo * tempo - metre.rarity});
        }
    }
}

std::vector<Reading> readings_of(Hearing const& heard, Stretch stretch)
{
    constexpr std::size_t kFewest = 6; // strokes that say anything
    auto const strokes = strokes_of(heard, stretch);
    std::vector<Reading> readings;
    if (strokes.seconds.size() < kFewest)
        return readings;
    auto changes = chord_changes(heard, stretch);
    for (double& change : changes)
        change -= stretch.from;
    for (double const step : even_steps(strokes.strength)) {
        auto const grid = follow_steps(strokes.strength, step);
        if (grid.size() < kFewest)
            continue;
        auto const stroke_steps = places_among(grid, strokes.seconds);
        auto const change_steps = places_among(grid, changes);
        for (int const steps : {1, 2, 3, 4, 6})
            read_pulses(strokes, stroke_steps, change_steps, grid, steps, readings);
    }
    return readings;
}

/// What another part of the lesson says of a reading: nothing where it is its best, less than nothing where it is not,
/// down to where the other is played in its own tempo.
double said_by(std::vector<Reading> const& other, Reading const& reading)
{
    constexpr double kSame = 0.08;
    constexpr double kMost = 3; // nats
    if (other.empty())
        return 0;
    double best = -std::numeric_limits<double>::infinity();
    double same = best;
    for (Reading const& each : other) {
        best = std::max(best, each.nats);
        if (each.meter == reading.meter && same_pulse(each, reading, kSame))
            same = std::max(same, each.nats);
    }
    return std::max(same - best, -kMost);
}

std::optional<HeardTempo> clearest(std::vector<Reading> const& readings)
{
    constexpr double kSame = 0.05;
    constexpr double kMargin = 2; // nats
    constexpr double kMeterMargin = 3.3;
    if (readings.empty())
        return std::nullopt;
    auto const best = *std::ranges::max_element(readings, {}, &Reading::nats);
    HeardTempo result{best.pulse, best.meter};
    for (Reading const& other : readings) {
        bool const same = same_pulse(other, best, kSame);
        if (!same && other.nats > best.nats - kMargin)
            return std::nullopt;
        if (other.meter != best.meter && other.nats > best.nats - kMeterMargin)
            result.meter.reset();
    }
    return result;
}

} // namespace

std::vector<std::optional<HeardTempo>> estimate_tempos(Hearing const& heard, std::span<Stretch const> parts)
{
    constexpr double kOthersCount = 0.6;
    std::vector<std::vector<Reading>> alone;
    for (Stretch const& part : parts)
        alone.push_back(readings_of(heard, part));
    std::vector<std::optional<HeardTempo>> result;
    for (std::size_t n = 0; n < alone.size(); ++n) {
        auto readings = alone[n];
        for (Reading& reading : readings)
            for (std::size_t other = 0; other < alone.size(); ++other)
                if (other != n)
                    reading.nats += kOthersCount * said_by(alone[other], reading);
        result.push_back(clearest(readings));
    }
    return result;
}

} // namespace tabard::pipeline
