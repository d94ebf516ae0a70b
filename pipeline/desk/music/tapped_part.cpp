#include "pipeline/desk/music/tapped_part.h"

#include "pipeline/cues/meter_ticks.h"
#include "pipeline/cues/tempo_limits.h"
#include "pipeline/listen/playable_pins.h"
#include "pipeline/listen/sparse_pins.h"
#include "pipeline/timeline/tempo_map.h"

#include <algorithm>
#include <cmath>
#include <numeric>

#include <fmt/format.h>
#include <fmt/ranges.h>

namespace tabard::pipeline {
namespace {

/// How far a tap may lie from the line through its neighbours before it gets a pin: about a frame of 25 a second, since
/// no tap is known better. Several passes are surer.
constexpr double kTapTolerance = 0.040;
/// A chord that is this much off is seen (ITU-R BT.1359-1: 45 ms late, 125 ms early).
constexpr double kFarOff = 0.125;
constexpr std::size_t kMostNamed = 4;

/// A place that was tapped, in beats of the meter after bar 1.
struct Tapped {
    int beat = 0;
    double seconds = 0;
};

std::string bar_text(std::int64_t ticks, overlay::Meter meter)
{
    BarPosition const position = BarPosition::from_offset(ticks, meter);
    return position.beat == 1 ? fmt::format("bar {}", position.bar) : fmt::format("beat {}", position.text());
}

std::string counted(std::size_t count, std::string_view one, std::string_view many)
{
    return fmt::format("{} {}", count, count == 1 ? one : many);
}

/// A reading of the taps: which targets were meant.
struct Reading {
    TapTargets targets;
    TapMatch match;
};

std::optional<double> known_pulse(Section const& section)
{
    if (section.tempo)
        return to_seconds((*section.tempo)->pulse());
    auto const map = tempo_map(section);
    return map ? std::optional(to_seconds(map->tempo_at(0).pulse())) : std::nullopt;
}

Reading read_targets(Section const& section, TapTargets targets, std::vector<std::vector<double>> const& passes)
{
    auto match = match_taps(passes, targets.targets, true, known_pulse(section));
    return {std::move(targets), std::move(match)};
}

std::size_t most_taps(std::vector<std::vector<double>> const& passes)
{
    std::size_t most = 0;
    for (auto const& pass : passes) {
        std::size_t bounced = 0;
        most = std::max(most, cleaned(pass, bounced).size());
    }
    return most;
}

/// How many pulses were counted in: so many as there are taps too many, where that is the part's count-in or a bar or
/// two. Beats all look alike, so their number is all there is to tell by.
int counted_in(Section const& section, std::size_t taps)
{
    int const pulses = section.meter->pulses();
    int const beats = (*section.bars)->bars() * pulses;
    int const over = static_cast<int>(taps) - beats;
    for (int const bars : {section.count_in, 1, 2})
        if (bars > 0 && (over == bars * pulses || over == bars * pulses + 1))
            return bars * pulses;
    return 0;
}

/// Taps that belong to no change, of the pass that has most.
std::size_t most_extra(TapMatch const& match)
{
    std::size_t most = 0;
    for (PassReport const& pass : match.passes)
        most = std::max(most, pass.extra.size());
    return most;
}

/// Whoever tapped the count-in as well did so at another pace than that of the changes, and has taps to spare.
Reading best_changes(Section const& section, std::vector<std::vector<double>> const& passes)
{
    constexpr double kCounted = 6; // what it takes more to be believed
    Reading best = read_targets(section, change_targets(section), passes);
    int const pulses = section.meter->pulses();
    for (int const counted : {pulses, section.count_in * pulses}) {
        if (counted == 0 || 2 * most_extra(best.match) < static_cast<std::size_t>(counted))
            continue;
        auto reading = read_targets(section, change_targets(section, counted), passes);
        bool const tapped = reading.match.targets.front().has_value();
        if (tapped && reading.match.cost + kCounted < best.match.cost)
            best = std::move(reading);
    }
    return best;
}

Reading best_reading(Section const& section, TapEach each, std::vector<std::vector<double>> const& passes)
{
    if (each == TapEach::change)
        return best_changes(section, passes);
    Reading best = read_targets(section, beat_targets(section, counted_in(section, most_taps(passes))), passes);
    if (auto groups = group_targets(section); !groups.targets.empty())
        if (auto reading = read_targets(section, std::move(groups), passes); reading.match.cost < best.match.cost)
            best = std::move(reading);
    return best;
}

std::vector<Tapped> tapped_places(Reading const& reading)
{
    std::vector<Tapped> tapped;
    for (std::size_t k = 0; k < reading.targets.ticks.size(); ++k)
        if (auto const& target = reading.match.targets[k]; target && reading.targets.ticks[k] >= 0)
            tapped.push_back({static_cast<int>(reading.targets.ticks[k] / kTicksPerBeat), target->seconds});
    return tapped;
}

/// Which of the tapped places get a pin.
std::vector<BeatPin> needed_pins(std::vector<Tapped> const& tapped, double tolerance)
{
    ExpectedPart part;
    AlignedPart found;
    int const first = tapped.front().beat;
    for (std::size_t n = 0; n < tapped.size(); ++n) {
        bool const last = n + 1 == tapped.size();
        int const beats = last ? 1 : tapped[n + 1].beat - tapped[n].beat;
        double const step = last ? 0 : (tapped[n + 1].seconds - tapped[n].seconds) / beats;
        for (int beat = 0; beat < beats; ++beat)
            found.beats.push_back(tapped[n].seconds + step * beat);
        HeardChord chord;
        chord.tones = {static_cast<int>(n % 2)}; // each differs from the one before
        part.spans.push_back({chord, tapped[n].beat - first, beats});
        found.spans.push_back({tapped[n].seconds, {}, false, {}});
    }
    constexpr double kAnywhere = 1e9; // a beat that was not tapped lies on the line anyway
    auto pins = sparse_pins(part, found, {tolerance, kAnywhere});
    for (BeatPin& pin : pins)
        pin.beat += first;
    return pins;
}

/// Times of the pins so that the lines between them come nearest to all taps (least squares; the equations have three
/// diagonals). So one tap that is off moves little.
void fit(std::vector<BeatPin>& pins, std::vector<Tapped> const& tapped)
{
    std::size_t const count = pins.size();
    std::vector<double> diagonal(count), beside(count), right(count);
    std::size_t n = 0;
    for (Tapped const& tap : tapped) {
        while (n + 2 < count && tap.beat > pins[n + 1].beat)
            ++n;
        double const share =
            static_cast<double>(tap.beat - pins[n].beat) / static_cast<double>(pins[n + 1].beat - pins[n].beat);
        diagonal[n] += (1 - share) * (1 - share);
        diagonal[n + 1] += share * share;
        beside[n] += share * (1 - share);
        right[n] += (1 - share) * tap.seconds;
        right[n + 1] += share * tap.seconds;
    }
    for (std::size_t i = 1; i < count; ++i) {
        double const factor = beside[i - 1] / diagonal[i - 1];
        diagonal[i] -= factor * beside[i - 1];
        right[i] -= factor * right[i - 1];
    }
    for (std::size_t i = count; i-- > 0;)
        pins[i].seconds = (right[i] - (i + 1 < count ? beside[i] * pins[i + 1].seconds : 0)) / diagonal[i];
}

/// Down to the millisecond: a cue that is a little early is on the frame that is on screen, a late one may be on the
/// next.
Time whole_milliseconds(double seconds) { return from_ticks(std::llround(std::floor(seconds * 1000 + 1e-6)), 1, 1000); }

TempoLimits limits_of(overlay::Meter meter)
{
    double const beat = 60.0 * 1000 / beats_of_pulse(meter);
    return {beat / kFastestTempo, beat / kSlowestTempo};
}

Tempo mean_tempo(std::vector<Pin> const& pins, overlay::Meter meter)
{
    return TempoMap(meter, {pins.front(), pins.back()}, std::nullopt).tempo_at(0);
}

std::string places_text(std::vector<std::int64_t> const& ticks, overlay::Meter meter)
{
    std::vector<std::string> names;
    for (std::size_t n = 0; n < std::min(kMostNamed, ticks.size()); ++n)
        names.push_back(bar_text(ticks[n], meter));
    return fmt::format("{}{}", fmt::join(names, ", "), ticks.size() > kMostNamed ? " and others" : "");
}

class Reporter {
public:
    Reporter(Section const& section, TapEach each, Reading const& reading, TappedPart& part)
        : m_meter(*section.meter), m_each(each), m_reading(reading), m_part(part)
    {
    }

    void say()
    {
        say_what_was_tapped();
        for (std::size_t n = 0; n < m_reading.match.passes.size(); ++n)
            say_pass(n);
        if (m_reading.match.passes.size() > 1)
            m_part.words.push_back(fmt::format("passes differ by {:.0f} ms", 1000 * m_part.spread));
        warn_of_spread();
    }

private:
    TapTargets const& targets() const { return m_reading.targets; }
    /// Without the count-in and the end.
    std::size_t wanted() const
    {
        std::size_t wanted = 0;
        for (std::size_t k = 0; k + 1 < targets().ticks.size(); ++k)
            wanted += targets().ticks[k] >= 0 && !(targets().targets[k].optional && !m_reading.match.targets[k]);
        return wanted;
    }
    std::size_t tapped() const
    {
        std::size_t tapped = 0;
        for (std::size_t k = 0; k + 1 < targets().ticks.size(); ++k)
            tapped += targets().ticks[k] >= 0 && m_reading.match.targets[k];
        return tapped;
    }
    std::string things(std::size_t count) const
    {
        if (targets().groups)
            return counted(count, "group", "groups");
        return m_each == TapEach::change ? counted(count, "change", "changes") : counted(count, "beat", "beats");
    }

    void say_what_was_tapped()
    {
        std::size_t const all = wanted();
        m_part.words.push_back(tapped() == all ? things(all) : fmt::format("{} of {}", tapped(), things(all)));
        if (targets().counted_in > 0)
            m_part.words.push_back(fmt::format("the first {} are taken as counted before bar 1",
                                               counted(static_cast<std::size_t>(targets().counted_in), "tap", "taps")));
        if (m_reading.match.targets.back())
            m_part.words.push_back("the last tap is taken as the end of the bars");
    }

    void say_pass(std::size_t n)
    {
        PassReport const& pass = m_reading.match.passes[n];
        std::string const who = m_reading.match.passes.size() > 1 ? fmt::format("pass {}", n + 1) : "this pass";
        std::vector<std::int64_t> missing;
        for (std::size_t const k : pass.missing)
            missing.push_back(targets().ticks[k]);
        if (!missing.empty())
            m_part.words.push_back(fmt::format("{} has {}, the chart has {}: no tap at {}", who,
                                               counted(pass.taps, "tap", "taps"), things(wanted()),
                                               places_text(missing, m_meter)));
        if (pass.bounced > 0)
            m_part.words.push_back(fmt::format("{} of {} came twice", counted(pass.bounced, "tap", "taps"), who));
        std::size_t const inside = pass.extra.size() - pass.before - pass.after;
        if (inside > 0)
            m_part.words.push_back(fmt::format("{} has {} too many, left out", who, counted(inside, "tap", "taps")));
        if (pass.before > 0)
            m_part.words.push_back(
                fmt::format("{} has {} before bar 1, left out", who, counted(pass.before, "tap", "taps")));
        if (pass.after > 0)
            m_part.warnings.push_back(fmt::format("{} has {} after the end of the chart, left out: has the chart all "
                                                  "bars that are played?",
                                                  who, counted(pass.after, "tap", "taps")));
    }

    void warn_of_spread()
    {
        std::vector<std::int64_t> apart;
        for (std::size_t k = 0; k < targets().ticks.size(); ++k)
            if (auto const& target = m_reading.match.targets[k]) {
                auto const [low, high] = std::ranges::minmax(target->taps);
                if (high - low > kFarOff)
                    apart.push_back(targets().ticks[k]);
            }
        if (!apart.empty())
            m_part.warnings.push_back(fmt::format("the passes differ by more than {:.0f} ms at {}: tap once more",
                                                  1000 * kFarOff, places_text(apart, m_meter)));
    }

    overlay::Meter m_meter;
    TapEach m_each;
    Reading const& m_reading;
    TappedPart& m_part;
};

void warn_of_tempo(Section const& section, bool playable, TappedPart& part)
{
    auto const told = known_pulse(section);
    double const pulse = to_seconds(part.tempo->pulse());
    if (!playable)
        part.warnings.push_back(fmt::format("between some taps the tempo is below {} or above {}: nobody plays that",
                                            kSlowestTempo / 1000, kFastestTempo / 1000));
    if (told && std::abs(std::log2(pulse / *told)) > 0.4)
        part.warnings.push_back(fmt::format("the taps mean a tempo of {:.0f}, and the part has {:.0f}: was each {} "
                                            "tapped once?",
                                            60 / pulse, 60 / *told, "place"));
}

void warn_of_far_taps(Section const& section, std::vector<Tapped> const& tapped, TappedPart& part)
{
    TempoMap const map(*section.meter, part.pins, part.tempo);
    std::vector<std::int64_t> far;
    for (Tapped const& tap : tapped)
        if (std::abs(to_seconds(map.time_at(tap.beat * kTicksPerBeat)) - tap.seconds) > kFarOff)
            far.push_back(tap.beat * kTicksPerBeat);
    if (!far.empty())
        part.warnings.push_back(fmt::format("the tap at {} lies far from the beat: look whether it is right there",
                                            places_text(far, *section.meter)));
}

/// One tap says when the part begins, no more.
Result<TappedPart> begin_alone(Section const& section, std::vector<std::vector<double>> const& passes)
{
    std::vector<double> taps;
    for (auto const& pass : passes)
        taps.insert(taps.end(), pass.begin(), pass.end());
    double const mean = std::accumulate(taps.begin(), taps.end(), 0.0) / static_cast<double>(taps.size());
    double squares = 0;
    for (double const tap : taps)
        squares += (tap - mean) * (tap - mean);
    TappedPart part;
    part.pins = {{section.piece ? section.piece->from_bar : BarPosition{}, whole_milliseconds(mean), {}}};
    part.spread = taps.size() < 2 ? 0 : std::sqrt(squares / static_cast<double>(taps.size() - 1));
    part.words.push_back("one tap: the begin of the part");
    if (section.bars && !known_pulse(section))
        part.warnings.push_back("one tap says no tempo: tap the other changes too, or write a tempo");
    if (part.spread > kFarOff)
        part.warnings.push_back(fmt::format("the passes differ by {:.0f} ms: tap once more", 1000 * part.spread));
    return part;
}

double tolerance_of(TapMatch const& match)
{
    std::size_t const passes = std::max<std::size_t>(match.passes.size(), 1);
    return kTapTolerance / std::sqrt(static_cast<double>(std::min<std::size_t>(passes, 4)));
}

} // namespace

Result<TappedPart> tapped_part(Section const& section, TapEach each, std::vector<std::vector<double>> const& passes)
{
    std::size_t const most = most_taps(passes);
    if (most == 0)
        return Error{ErrorKind::invalid_input, "nothing was tapped; play the film and tap along"};
    if (most == 1)
        return begin_alone(section, passes);
    if (!section.bars || (*section.bars)->bars() == 0)
        return Error{ErrorKind::invalid_input,
                     fmt::format("'{}' has no chart to tap along to; type its bars first", *section.name)};
    Reading const reading = best_reading(section, each, passes);
    auto const tapped = tapped_places(reading);
    TappedPart part;
    Error const no_tempo{ErrorKind::invalid_input, "the taps fit no tempo; tap the part once more"};
    if (tapped.size() < 2)
        return no_tempo;
    auto pins = needed_pins(tapped, tolerance_of(reading.match));
    fit(pins, tapped);
    TempoLimits const limits = limits_of(*section.meter);
    pins = playable_pins(std::move(pins), {}, limits);
    if (pins.back().seconds - pins.front().seconds < 0.1)
        return no_tempo;
    for (BeatPin const& pin : pins)
        part.pins.push_back(
            {BarPosition::from_offset(pin.beat * kTicksPerBeat, *section.meter), whole_milliseconds(pin.seconds), {}});
    part.tempo = mean_tempo(part.pins, *section.meter);
    part.spread = reading.match.spread;
    Reporter(section, each, reading, part).say();
    warn_of_tempo(section, are_playable(pins, limits), part);
    warn_of_far_taps(section, tapped, part);
    return part;
}

} // namespace tabard::pipeline
