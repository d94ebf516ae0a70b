#include "tests/support/performance/course.h"

#include <algorithm>
#include <array>

namespace tabard::tests {

namespace {

using pipeline::Deviation;

/// One departure in the bars from `first_bar` on (at least one bar must be played before it), before `last_bar`.
Turn turn_of(Departure departure, int first_bar, int last_bar, int beats_per_bar, std::mt19937& random)
{
    auto const uniform = [&](double low, double high) {
        return std::uniform_real_distribution<double>(low, high)(random);
    };
    auto const between = [&](int low, int high) { // both included
        return std::uniform_int_distribution<int>(low, std::max(low, high))(random);
    };
    int const bar = between(first_bar, last_bar);
    int const line = bar * beats_per_bar;
    int const bars = between(1, 2);
    Turn turn{line, line};
    switch (departure) {
    case Departure::pause:
    case Departure::pause_inside:
        turn.wait = uniform(1, 8);
        turn.stopped = uniform(0, 1) < 0.7;
        turn.talk = uniform(0, 1) < 0.6;
        if (departure == Departure::pause_inside)
            turn.at = turn.go_on_with = line + between(1, beats_per_bar - 1);
        break;
    case Departure::hold:
        turn.wait = uniform(1, 4);
        turn.stopped = false;
        break;
    case Departure::extra:
        turn.extra_beats = beats_per_bar;
        break;
    case Departure::skip:
        turn.go_on_with = (bar + std::min(bars, last_bar + 1 - bar)) * beats_per_bar;
        break;
    case Departure::again:
        turn.go_on_with = std::max(0, bar - bars) * beats_per_bar;
        break;
    case Departure::restart_bar:
    case Departure::restart_part:
        turn.at = line + between(1, beats_per_bar - 1);
        turn.go_on_with = departure == Departure::restart_bar ? line : 0;
        turn.wait = uniform(0.5, 3);
        turn.talk = uniform(0, 1) < 0.4;
        turn.mistake = true;
        break;
    case Departure::none:
    case Departure::any:
        break;
    }
    return turn;
}

} // namespace

std::vector<Turn> turns_of(Departure departure, int beats, int beats_per_bar, std::mt19937& random)
{
    int const bars = beats / beats_per_bar;
    if (departure == Departure::none || bars < 4)
        return {};
    if (departure != Departure::any)
        return {turn_of(departure, 1, bars - 2, beats_per_bar, random)};
    constexpr std::array kKinds{Departure::pause, Departure::pause_inside, Departure::hold,       Departure::extra,
                                Departure::skip,  Departure::again,        Departure::restart_bar};
    auto const some = [&] { return kKinds[random() % kKinds.size()]; };
    std::vector<Turn> turns{turn_of(some(), 1, bars / 2 - 1, beats_per_bar, random)};
    if (random() % 2 == 0)
        turns.push_back(turn_of(some(), bars / 2 + 2, bars - 2, beats_per_bar, random));
    return turns;
}

std::vector<double> last_beats(std::vector<Stretched> const& stretches, int beats)
{
    std::vector<double> times(static_cast<std::size_t>(beats) + 1, stretches.back().times.back());
    int next = 0; // beats before it have a time
    for (Stretched const& stretch : stretches) {
        if (stretch.extra)
            continue;
        for (int beat = std::min(next, stretch.first_beat); beat < stretch.first_beat + stretch.beats(); ++beat)
            if (beat >= stretch.first_beat || beat >= next)
                times[static_cast<std::size_t>(beat)] =
                    stretch.times[static_cast<std::size_t>(std::max(0, beat - stretch.first_beat))];
        next = stretch.first_beat + stretch.beats();
    }
    return times;
}

std::vector<Deviation> deviations_of(std::vector<Stretched> const& stretches)
{
    std::vector<Deviation> deviations;
    int reached = stretches.front().beats();
    double end = stretches.front().times.back();
    bool extra = false;
    for (std::size_t n = 1; n < stretches.size(); ++n) {
        Stretched const& stretch = stretches[n];
        if (stretch.extra) {
            extra = true;
            continue;
        }
        int const beat = stretch.first_beat;
        double const to = stretch.times.front();
        using Kind = Deviation::Kind;
        if (beat < reached) {
            // Since it was reached for the last time before.
            double from = end;
            for (std::size_t before = 0; before < n; ++before) {
                Stretched const& one = stretches[before];
                if (!one.extra && one.first_beat <= beat && beat < one.first_beat + one.beats())
                    from = one.times[static_cast<std::size_t>(beat - one.first_beat)];
            }
            deviations.push_back({Kind::again, beat, beat, from, to, beat});
        } else {
            Kind const kind = beat > reached ? Kind::skipped : extra ? Kind::extra : Kind::pause;
            deviations.push_back({kind, reached, beat, end, to});
        }
        reached = beat + stretch.beats();
        end = stretch.times.back();
        extra = false;
    }
    return deviations;
}

} // namespace tabard::tests
