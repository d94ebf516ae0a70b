#include "pipeline/desk/music/tap_match.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numeric>
#include <utility>

namespace tabard::pipeline {
namespace {

// What a reading of the taps costs. The weights are this project's own, set by built passes (tap_test.cpp).
constexpr double kOdd = 18;               ///< the most that one uneven step costs: a fermata, a slip
constexpr double kMissed = 12;            ///< a target without a tap
constexpr double kMissedMore = 2;         ///< another one right after it
constexpr double kTooMany = 12;           ///< a tap without a target
constexpr double kTooManyMore = 2;        ///< another one right after it
constexpr double kEarlyMore = 8;          ///< a tap too many before the first target, after another one
constexpr double kLateStart = 14;         ///< the first target is not tapped
constexpr double kEndTapped = 8;          ///< the end of the bars is tapped
constexpr double kRestTapped = 0.5;       ///< an optional target is tapped
constexpr double kUntapped = 0.3;         ///< a target after the last tap
constexpr std::size_t kMostUntapped = 20; ///< of these that cost: who stops early stops early
constexpr double kTapError = 0.05;        ///< seconds by which a step of two taps is off
constexpr double kTempoError = 0.1;       ///< share of a step by which the tempo changes within it
constexpr std::size_t kReach = 4;         ///< steps back that are looked at

/// 30 to 260 pulses a minute in steps of 6 %.
std::vector<double> pulses_to_try()
{
    std::vector<double> pulses;
    for (double pulse = 60.0 / 260; pulse < 60.0 / 30; pulse *= 1.06)
        pulses.push_back(pulse);
    return pulses;
}

/// Which target each tap of a pass is for.
struct PassReading {
    double cost = std::numeric_limits<double>::infinity();
    std::vector<std::optional<std::size_t>> target_of; ///< one a tap
};

/// Reads one pass at one tempo to begin with: the cheapest chain of taps and targets (a dynamic program). Each link
/// carries the tempo on, so that it may drift.
class PassReader {
public:
    PassReader(TapPass const& taps, std::vector<TapTarget> const& targets, bool last_is_end)
        : m_taps(taps), m_targets(targets), m_last_is_end(last_is_end), m_skip(targets.size() + 1)
    {
        for (std::size_t k = 0; k < targets.size(); ++k) // how many before k must be tapped
            m_skip[k + 1] = m_skip[k] + (targets[k].optional ? 0 : 1);
    }

    PassReading read(double pulse, double prior)
    {
        std::size_t const taps = m_taps.size(), targets = m_targets.size();
        m_links.assign(taps * kBand, {});
        PassReading best;
        Place end{kNone, 0};
        for (std::size_t i = 0; i < taps; ++i)
            for (std::size_t k = first_target(i); k < std::min(targets, i + kSlack + 1); ++k) {
                link({i, k}, pulse);
                double const untapped = static_cast<double>(std::min(must(k + 1, targets), kMostUntapped)) * kUntapped;
                double const after = run_cost(taps - 1 - i, kTooMany, kTooManyMore);
                if (double const cost = at({i, k}).cost + after + untapped + prior; cost < best.cost) {
                    best.cost = cost;
                    end = {i, k};
                }
            }
        best.target_of.resize(taps);
        for (Place place = end; place.tap != kNone; place = at(place).before)
            best.target_of[place.tap] = place.target;
        return best;
    }

private:
    static constexpr std::size_t kNone = static_cast<std::size_t>(-1);
    /// How far taps and targets may come apart: a pass with more slips than this is better tapped again.
    static constexpr std::size_t kSlack = 24;
    static constexpr std::size_t kBand = 2 * kSlack + 1;
    struct Place {
        std::size_t tap = kNone;
        std::size_t target = 0;
    };
    struct Link {
        double cost = std::numeric_limits<double>::infinity();
        double pulse = 0;
        Place before;
    };

    Link& at(Place place) { return m_links[place.tap * kBand + place.target + kSlack - place.tap]; }
    static bool in_band(Place place)
    {
        return place.target + kSlack >= place.tap && place.target <= place.tap + kSlack;
    }
    static double run_cost(std::size_t count, double first, double more)
    {
        return count == 0 ? 0 : first + static_cast<double>(count - 1) * more;
    }
    std::size_t first_target(std::size_t tap) const { return tap > kSlack ? tap - kSlack : 0; }
    /// Targets of [from, to) that ask for a tap.
    std::size_t must(std::size_t from, std::size_t to) const { return m_skip[to] - m_skip[from]; }
    double own_cost(std::size_t k) const
    {
        bool const end = m_last_is_end && k + 1 == m_targets.size();
        return end ? kEndTapped : m_targets[k].optional ? kRestTapped : 0;
    }

    void link(Place place, double pulse)
    {
        Link& here = at(place);
        here.cost =
            run_cost(place.tap, kTooMany, kEarlyMore) + run_cost(must(0, place.target), kLateStart, kMissedMore);
        here.pulse = pulse;
        for (std::size_t taps = 1; taps <= std::min(kReach, place.tap); ++taps)
            for (std::size_t targets = 1; targets <= std::min(kReach, place.target); ++targets)
                if (Place const before{place.tap - taps, place.target - targets}; in_band(before))
                    try_link(here, before, place);
        here.cost += own_cost(place.target);
    }

    void try_link(Link& here, Place from, Place to)
    {
        Link const& before = at(from);
        double const pulses = m_targets[to.target].pulses - m_targets[from.target].pulses;
        double const wanted = before.pulse * pulses;
        double const step = m_taps[to.tap] - m_taps[from.tap];
        double const off = step - wanted;
        double const odd = off * off / (kTapError * kTapError + kTempoError * kTempoError * wanted * wanted);
        double const cost = before.cost + std::min(odd, kOdd) +
                            run_cost(to.tap - from.tap - 1, kTooMany, kTooManyMore) +
                            run_cost(must(from.target + 1, to.target), kMissed, kMissedMore);
        if (cost < here.cost)
            here = {cost, odd < kOdd ? std::lerp(before.pulse, step / pulses, 0.4) : before.pulse, from};
    }

    TapPass const& m_taps;
    std::vector<TapTarget> const& m_targets;
    bool m_last_is_end;
    std::vector<std::size_t> m_skip;
    std::vector<Link> m_links; ///< kBand a tap
};

/// The tempos at which a pass may begin; of a long one those that fit its first taps best.
std::vector<double> likely_pulses(TapPass const& taps, std::vector<TapTarget> const& targets, bool last_is_end)
{
    constexpr std::size_t kFirst = 64, kKept = 4;
    std::vector<double> pulses = pulses_to_try();
    if (taps.size() <= kFirst)
        return pulses;
    TapPass const first(taps.begin(), taps.begin() + kFirst);
    PassReader reader(first, targets, last_is_end);
    std::vector<std::pair<double, double>> ranked;
    for (double const pulse : pulses)
        ranked.emplace_back(reader.read(pulse, 0).cost, pulse);
    std::ranges::sort(ranked);
    pulses.clear();
    for (std::size_t n = 0; n < kKept; ++n)
        pulses.push_back(ranked[n].second);
    return pulses;
}

PassReading read_pass(TapPass const& taps, std::vector<TapTarget> const& targets, bool last_is_end,
                      std::optional<double> pulse_seconds)
{
    PassReader reader(taps, targets, last_is_end);
    PassReading best;
    for (double const pulse : likely_pulses(taps, targets, last_is_end)) {
        double const octaves = pulse_seconds ? std::log2(pulse / *pulse_seconds) : 0;
        if (auto reading = reader.read(pulse, octaves * octaves); reading.cost < best.cost)
            best = std::move(reading);
    }
    return best;
}

/// Where each target lies by one pass: its taps, and straight lines between and beyond them.
class Line {
public:
    Line(TapPass const& taps, PassReading const& reading, std::vector<TapTarget> const& targets)
    {
        for (std::size_t i = 0; i < taps.size(); ++i)
            if (auto const k = reading.target_of[i])
                m_knots.push_back({targets[*k].pulses, taps[i]});
    }
    bool empty() const { return m_knots.size() < 2; }
    double seconds_at(double pulses) const
    {
        auto const after = std::ranges::upper_bound(m_knots, pulses, {}, &Knot::pulses);
        auto const n = std::clamp<std::ptrdiff_t>(after - m_knots.begin() - 1, 0, std::ssize(m_knots) - 2);
        Knot const& a = m_knots[static_cast<std::size_t>(n)];
        Knot const& b = m_knots[static_cast<std::size_t>(n) + 1];
        return std::lerp(a.seconds, b.seconds, (pulses - a.pulses) / (b.pulses - a.pulses));
    }

private:
    struct Knot {
        double pulses;
        double seconds;
    };
    std::vector<Knot> m_knots;
};

/// Every tap of a pass to the target that lies next to it, where that is nearer than half way to its neighbours. Of two
/// taps for one target the nearer counts.
PassReading read_beside(TapPass const& taps, Line const& line, std::vector<TapTarget> const& targets)
{
    std::vector<double> places;
    for (TapTarget const& target : targets)
        places.push_back(line.seconds_at(target.pulses));
    PassReading reading;
    reading.target_of.resize(taps.size());
    std::vector<std::optional<std::size_t>> tap_of(targets.size());
    for (std::size_t i = 0; i < taps.size(); ++i) {
        auto const after = std::ranges::lower_bound(places, taps[i]) - places.begin();
        auto k = static_cast<std::size_t>(std::min<std::ptrdiff_t>(after, std::ssize(places) - 1));
        if (k > 0 && taps[i] - places[k - 1] < std::abs(places[k] - taps[i]))
            --k;
        double const before = k > 0 ? places[k] - places[k - 1] : places[1] - places[0];
        double const next = k + 1 < places.size() ? places[k + 1] - places[k] : before;
        double const off = taps[i] - places[k];
        if (off < -0.5 * before || off > 0.5 * next)
            continue;
        if (tap_of[k] && std::abs(taps[*tap_of[k]] - places[k]) <= std::abs(off))
            continue;
        if (tap_of[k])
            reading.target_of[*tap_of[k]].reset();
        tap_of[k] = i;
        reading.target_of[i] = k;
    }
    return reading;
}

void report(PassReport& report, TapPass const& taps, PassReading const& reading, std::vector<TapTarget> const& targets)
{
    std::vector<bool> has(targets.size());
    std::optional<std::size_t> first, last;
    for (std::size_t i = 0; i < taps.size(); ++i) {
        auto const k = reading.target_of[i];
        if (!k) {
            report.extra.push_back(taps[i]);
            continue;
        }
        has[*k] = true;
        first = first ? first : i;
        last = i;
    }
    if (!first)
        return;
    for (std::size_t k = 0; k < *reading.target_of[*last]; ++k)
        if (!has[k] && !targets[k].optional)
            report.missing.push_back(k);
    report.before = *first;
    report.after = taps.size() - 1 - *last;
}

double middle_of(std::vector<double> values)
{
    std::ranges::sort(values);
    std::size_t const n = values.size();
    return n % 2 == 1 ? values[n / 2] : std::midpoint(values[n / 2 - 1], values[n / 2]);
}

/// The deviation of one tap from its target's mean over all targets that several passes have.
double spread_of(std::vector<std::optional<TappedTarget>> const& targets)
{
    double squares = 0;
    std::size_t freedom = 0;
    for (auto const& target : targets) {
        if (!target || target->taps.size() < 2)
            continue;
        double mean = 0;
        for (double const tap : target->taps)
            mean += tap / static_cast<double>(target->taps.size());
        for (double const tap : target->taps)
            squares += (tap - mean) * (tap - mean);
        freedom += target->taps.size() - 1;
    }
    return freedom == 0 ? 0 : std::sqrt(squares / static_cast<double>(freedom));
}

/// How many taps of a pass lie where another one has the same targets.
std::size_t agreeing(Line const& line, TapPass const& taps, PassReading const& reading,
                     std::vector<TapTarget> const& targets)
{
    constexpr double kBeside = 0.2; // seconds
    std::size_t count = 0;
    for (std::size_t i = 0; i < taps.size(); ++i)
        if (auto const k = reading.target_of[i])
            count += std::abs(line.seconds_at(targets[*k].pulses) - taps[i]) < kBeside ? 1 : 0;
    return count;
}

/// The pass with which all passes agree most; of equal ones the surest. The others are of the same film, so their taps
/// lie beside its own.
std::size_t leading_pass(std::vector<TapPass> const& taps, std::vector<PassReading> const& readings,
                         std::vector<TapTarget> const& targets)
{
    std::size_t leader = 0, most = 0;
    for (std::size_t n = 0; n < taps.size(); ++n) {
        Line const line(taps[n], readings[n], targets);
        std::size_t agreed = 0;
        for (std::size_t other = 0; !line.empty() && other < taps.size(); ++other)
            agreed += agreeing(line, taps[other], readings[other], targets);
        if (agreed > most || (agreed == most && readings[n].cost < readings[leader].cost)) {
            leader = n;
            most = agreed;
        }
    }
    return leader;
}

} // namespace

TapPass cleaned(std::vector<double> taps, std::size_t& bounced)
{
    std::erase_if(taps, [](double tap) { return !std::isfinite(tap); });
    std::ranges::sort(taps);
    TapPass pass;
    for (double const tap : taps)
        if (pass.empty() || tap - pass.back() >= kBounce)
            pass.push_back(tap);
        else
            ++bounced;
    return pass;
}

/// The taps of the pass that tells most, and those that others have before and after them.
TapPass longest_line(std::vector<TapPass> const& taps, std::size_t leader)
{
    TapPass line = taps[leader];
    if (line.size() < 2)
        return line;
    double const first = line[0] - (line[1] - line[0]) / 2;
    double const last = line.back() + (line.back() - line[line.size() - 2]) / 2;
    TapPass before, after;
    for (TapPass const& pass : taps) {
        TapPass const earlier(pass.begin(), std::ranges::lower_bound(pass, first));
        TapPass const later(std::ranges::upper_bound(pass, last), pass.end());
        before = earlier.size() > before.size() ? earlier : before;
        after = later.size() > after.size() ? later : after;
    }
    line.insert(line.begin(), before.begin(), before.end());
    line.insert(line.end(), after.begin(), after.end());
    return line;
}

TapMatch match_taps(std::vector<std::vector<double>> const& passes, std::vector<TapTarget> const& targets,
                    bool last_is_end, std::optional<double> pulse_seconds)
{
    TapMatch match;
    match.targets.resize(targets.size());
    match.cost = std::numeric_limits<double>::infinity();
    std::vector<TapPass> taps;
    std::vector<PassReading> readings;
    for (std::size_t n = 0; n < passes.size(); ++n) {
        PassReport pass;
        pass.taps = passes[n].size();
        taps.push_back(cleaned(passes[n], pass.bounced));
        match.passes.push_back(std::move(pass));
        readings.push_back(read_pass(taps[n], targets, last_is_end, pulse_seconds));
    }
    if (passes.empty())
        return match;
    std::size_t const leader = leading_pass(taps, readings, targets);
    TapPass const lead = longest_line(taps, leader);
    auto const reading =
        lead.size() > taps[leader].size() ? read_pass(lead, targets, last_is_end, pulse_seconds) : readings[leader];
    match.cost = reading.cost;
    Line const line(lead, reading, targets);
    for (std::size_t n = 0; n < passes.size(); ++n) {
        if (!line.empty())
            readings[n] = read_beside(taps[n], line, targets);
        report(match.passes[n], taps[n], readings[n], targets);
        for (std::size_t i = 0; i < taps[n].size(); ++i)
            if (auto const k = readings[n].target_of[i]) {
                auto& target = match.targets[*k];
                target = target ? target : TappedTarget{};
                target->taps.push_back(taps[n][i]);
            }
    }
    for (auto& target : match.targets)
        if (target)
            target->seconds = middle_of(target->taps);
    match.spread = spread_of(match.targets);
    return match;
}

} // namespace tabard::pipeline
