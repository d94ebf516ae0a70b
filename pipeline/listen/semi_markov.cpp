#include "pipeline/listen/semi_markov.h"

#include "pipeline/listen/part_place.h"
#include "pipeline/listen/part_trellis.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <functional>

namespace tabard::pipeline {

namespace {

constexpr float kChangeOnset = 3.0F; ///< nats for a clear onset where a chord changes
constexpr float kRepeatOnset = 1.8F; ///< and where it is struck again
constexpr float kGapCost = 6;        ///< nats for leaving the chart before a part
constexpr float kSkipCost = 15;      ///< nats for a part that is not played
constexpr double kRingOut = 5;       ///< seconds that a part's last chord may go on ringing

int to_step(double seconds, double step) { return static_cast<int>(std::lround(seconds / step)); }

GridRange clamped(GridRange range, int size)
{
    int const low = std::clamp(range.low, 0, size - 1);
    return {low, std::clamp(range.high, low + 1, size)};
}

/// Where each boundary may lie: at its pin, near an earlier result, or within `window`.
std::vector<GridRange> ranges_of(ExpectedPart const& part, EvidenceGrid const& grid, GridRange window, double reach,
                                 Boundaries const* earlier)
{
    std::vector<GridRange> ranges;
    for (std::size_t n = 0; n <= part.spans.size(); ++n) {
        int const beat = n < part.spans.size() ? part.spans[n].first_beat : part.beats();
        auto const pin = std::ranges::find(part.pins, beat, &BeatPin::beat);
        GridRange range = window;
        if (pin != part.pins.end())
            range = {to_step(pin->seconds, grid.step), to_step(pin->seconds, grid.step) + 1};
        else if (earlier)
            range = {to_step((*earlier)[n] - reach, grid.step), to_step((*earlier)[n] + reach, grid.step) + 1};
        ranges.push_back(clamped(range, grid.size));
    }
    return ranges;
}

std::vector<PartTrellis::Span> spans_of(ExpectedPart const& part, ChordEvidence const& evidence, double beat_seconds,
                                        double step)
{
    std::vector<PartTrellis::Span> spans;
    for (std::size_t n = 0; n < part.spans.size(); ++n)
        spans.push_back({evidence.index_of(part.spans[n].chord),
                         expected_seconds(part, part.spans[n].first_beat, part.spans[n].beats, beat_seconds) / step,
                         part.changes(n) ? kChangeOnset : kRepeatOnset});
    return spans;
}

/// The chain of parts and gaps: after part p, `m_idle[t]` is the best score of being outside the chart at step t.
class PartChain {
public:
    explicit PartChain(EvidenceGrid const& grid) : m_grid(grid), m_idle(grid.gap) {}

    void append(PartTrellis trellis, GridRange entry_range, std::optional<double> place, double deviation)
    {
        std::vector<float> entry;
        for (int t = entry_range.low; t < entry_range.high; ++t)
            entry.push_back(m_idle[static_cast<std::size_t>(t)] - kGapCost +
                            place_score(place, deviation, t * m_grid.step));
        trellis.run(entry);
        leave(trellis);
        m_trellises.push_back(std::move(trellis));
    }

    /// The grid steps of each part's boundaries, empty for parts that were skipped.
    std::vector<std::vector<int>> trace() const
    {
        std::vector<std::vector<int>> result(m_trellises.size());
        int t = m_grid.size - 1;
        for (std::size_t part = m_trellises.size(); part-- > 0;) {
            auto const& moves = m_moves[part];
            while (moves[static_cast<std::size_t>(t)] == kWait)
                --t;
            if (moves[static_cast<std::size_t>(t)] == kSkip)
                continue;
            result[part] = m_trellises[part].trace(t - moves[static_cast<std::size_t>(t)]);
            t = result[part].front();
        }
        return result;
    }

private:
    static constexpr std::uint16_t kSkip = 0xFFFF;
    static constexpr std::uint16_t kWait = 0xFFFE; ///< any other value: steps since the part ended, ringing out

    void leave(PartTrellis const& trellis)
    {
        auto const& sums = m_grid.chords[trellis.last_chord()];
        auto const range = trellis.exit_range();
        int const ring = static_cast<int>(kRingOut / m_grid.step);
        std::vector<float> idle(m_idle.size());
        std::vector<std::uint16_t> moves(m_idle.size(), kSkip);
        for (int t = 0; t < m_grid.size; ++t) {
            auto const at = static_cast<std::size_t>(t);
            idle[at] = m_idle[at] - kSkipCost;
            if (t > 0) {
                float const waited = idle[at - 1] + m_grid.gap[at] - m_grid.gap[at - 1];
                if (waited > idle[at]) {
                    idle[at] = waited;
                    moves[at] = kWait;
                }
            }
            for (int end = std::max(range.low, t - ring); end <= std::min(t, range.high - 1); ++end) {
                float const rung = trellis.exit()[static_cast<std::size_t>(end - range.low)] + sums[at] -
                                   sums[static_cast<std::size_t>(end)];
                if (rung > idle[at]) {
                    idle[at] = rung;
                    moves[at] = static_cast<std::uint16_t>(t - end);
                }
            }
        }
        m_idle = std::move(idle);
        m_moves.push_back(std::move(moves));
    }

    EvidenceGrid const& m_grid;
    std::vector<float> m_idle;
    std::vector<PartTrellis> m_trellises;
    std::vector<std::vector<std::uint16_t>> m_moves;
};

/// What a part alone scores at a tempo, above what the same stretch scores as a gap, and how long that stretch is.
struct AloneScore {
    float nats = kImpossible;
    double seconds = 0;
};

AloneScore score_alone(EvidenceGrid const& grid, ChordEvidence const& evidence, ExpectedPart const& part,
                       double beat_seconds, double deviation)
{
    auto const place = place_of(part, beat_seconds);
    GridRange window{0, grid.size};
    if (place)
        window = {to_step(*place - 8, grid.step),
                  to_step(*place + 8 + 1.4 * part.beats() * part.beat_seconds, grid.step)};
    auto const ranges = ranges_of(part, grid, clamped(window, grid.size), 0, nullptr);
    PartTrellis trellis(grid, spans_of(part, evidence, beat_seconds, grid.step), ranges, deviation);
    std::vector<float> entry;
    for (int t = ranges.front().low; t < ranges.front().high; ++t)
        entry.push_back(grid.gap[static_cast<std::size_t>(t)] +
                        place_score(place, part.about_deviation, t * grid.step));
    trellis.run(entry);
    AloneScore best;
    int best_end = ranges.back().low;
    for (int end = ranges.back().low; end < ranges.back().high; ++end) {
        float const nats =
            trellis.exit()[static_cast<std::size_t>(end - ranges.back().low)] - grid.gap[static_cast<std::size_t>(end)];
        if (nats > best.nats) {
            best.nats = nats;
            best_end = end;
        }
    }
    if (best.nats > 0)
        best.seconds = (best_end - trellis.trace(best_end).front()) * grid.step;
    return best;
}

/// By what tempos are compared. Where anything between half and twice the guess may be true and the place is open, the
/// sum alone would prefer a slow tempo: two parts that half fit weigh more than one that fits. So the evidence of long
/// stretches counts by the root of their length, as sums of chance do.
float tempo_score(ExpectedPart const& part, AloneScore const& alone)
{
    if (part.tempo_known || alone.seconds <= 0)
        return alone.nats;
    return alone.nats / static_cast<float>(std::sqrt(alone.seconds));
}

} // namespace

std::vector<Boundaries> align_parts(ChordEvidence const& evidence, std::span<float const> novelty,
                                    ExpectedMusic const& chart, std::span<double const> beat_seconds,
                                    CoarseSettings const& settings, std::span<Boundaries const> earlier)
{
    auto const grid = lay_grid(evidence, novelty, settings.step);
    PartChain chain(grid);
    std::vector<std::size_t> searched;
    for (std::size_t p = 0; p < chart.size(); ++p) {
        if (settings.reach > 0 && earlier[p].empty())
            continue;
        auto const* near = settings.reach > 0 ? &earlier[p] : nullptr;
        auto const ranges = ranges_of(chart[p], grid, {0, grid.size}, settings.reach, near);
        chain.append({grid, spans_of(chart[p], evidence, beat_seconds[p], grid.step), ranges, settings.deviation},
                     ranges.front(), place_of(chart[p], beat_seconds[p]), chart[p].about_deviation);
        searched.push_back(p);
    }
    std::vector<Boundaries> result(chart.size());
    auto const traced = chain.trace();
    for (std::size_t n = 0; n < searched.size(); ++n)
        for (int const step : traced[n])
            result[searched[n]].push_back(step * grid.step);
    return result;
}

std::vector<double> score_parts(ChordEvidence const& evidence, std::span<float const> novelty,
                                ExpectedMusic const& chart, CoarseSettings const& settings)
{
    auto const grid = lay_grid(evidence, novelty, settings.step);
    std::vector<double> scores;
    for (ExpectedPart const& part : chart)
        scores.push_back(
            static_cast<double>(score_alone(grid, evidence, part, part.beat_seconds, settings.deviation).nats));
    return scores;
}

std::vector<double> choose_tempos(ChordEvidence const& evidence, std::span<float const> novelty,
                                  ExpectedMusic const& chart, CoarseSettings const& settings)
{
    auto const grid = lay_grid(evidence, novelty, settings.step);
    std::vector<double> tempos;
    for (ExpectedPart const& part : chart) {
        double best_tempo = part.beat_seconds;
        float best = kImpossible;
        std::vector<double> factors{1.0, 0.87, 1.15, 0.76, 1.32};
        if (!part.tempo_known)
            factors.insert(factors.end(), {0.66, 0.57, 1.52, 1.75});
        for (double const factor : factors) {
            float const score =
                tempo_score(part, score_alone(grid, evidence, part, factor * part.beat_seconds, settings.deviation));
            if (score > best) {
                best = score;
                best_tempo = factor * part.beat_seconds;
            }
        }
        tempos.push_back(best_tempo);
    }
    return tempos;
}

std::vector<PartPlace> places_of(EvidenceGrid const& grid, ChordEvidence const& evidence, ExpectedPart const& part,
                                 double beat_seconds, double deviation, double from, double to, std::size_t most)
{
    auto const window = clamped({to_step(from, grid.step), to_step(to, grid.step) + 1}, grid.size);
    std::vector<GridRange> const ranges(part.spans.size() + 1, window);
    PartTrellis trellis(grid, spans_of(part, evidence, beat_seconds, grid.step), ranges, deviation);
    trellis.run({grid.gap.begin() + window.low, grid.gap.begin() + window.high});
    auto const nats = [&](int end) {
        return trellis.exit()[static_cast<std::size_t>(end - window.low)] - grid.gap[static_cast<std::size_t>(end)];
    };
    std::vector<int> ends;
    for (int end = window.low; end < window.high; ++end)
        if (nats(end) > 0)
            ends.push_back(end);
    std::ranges::stable_sort(ends, std::greater{}, nats);
    std::vector<PartPlace> places;
    for (int const end : ends) {
        if (places.size() == most)
            break;
        double const at = end * grid.step;
        auto const taken = [&](PartPlace const& other) {
            double const margin = 0.2 * (other.to() - other.from());
            return at > other.from() + margin && at < other.to() + 4 * margin;
        };
        if (std::ranges::any_of(places, taken))
            continue;
        PartPlace place;
        for (int const step : trellis.trace(end))
            place.boundaries.push_back(step * grid.step);
        place.nats = static_cast<double>(nats(end));
        auto const overlaps = [&](PartPlace const& other) {
            double const shared = std::min(place.to(), other.to()) - std::max(place.from(), other.from());
            return shared > 0.2 * (place.to() - place.from());
        };
        if (!std::ranges::any_of(places, overlaps))
            places.push_back(std::move(place));
    }
    return places;
}

} // namespace tabard::pipeline
