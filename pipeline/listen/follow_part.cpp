#include "pipeline/listen/follow_part.h"

#include "pipeline/listen/beat_viterbi.h"
#include "pipeline/listen/extra_bars.h"
#include "pipeline/listen/part_walk.h"
#include "pipeline/listen/place_part.h"
#include "pipeline/listen/place_path.h"

#include <algorithm>
#include <cmath>
#include <utility>

namespace tabard::pipeline {

namespace {

constexpr double kLeaving = 12; ///< nats that must speak for each time that the playing leaves the chart

/// The tempos at which a part may have been played: about the author's, and as it was found.
std::vector<double> tempos_of(ExpectedPart const& part, std::vector<double> const& beats)
{
    std::vector<double> lengths;
    for (std::size_t n = 0; n + 1 < beats.size(); ++n)
        lengths.push_back(beats[n + 1] - beats[n]);
    auto const middle = lengths.begin() + std::ssize(lengths) / 2;
    std::ranges::nth_element(lengths, middle);
    double const expected = part.tempo_known ? part.beat_seconds : *middle;
    return {*middle, 0.93 * expected, expected, 1.07 * expected};
}

/// The likeliest way through a part.
struct Way {
    PartWalk walk;
    PathMargin margin;
};

/// Where a walk first leaves the chart.
PathMargin left_by(PartWalk const& walk, double nats)
{
    PlayedStretch const& first = walk.stretches.front();
    return {nats, first.end_beat(), first.seconds.back()};
}

/// Whether a walk that leaves the chart moves a change by it: how long the last chord is held moves none, nor does what
/// is played when all was played but the last beat.
bool moves_changes(ExpectedPart const& part, PlayedStretch const& left, PlayedStretch const& next)
{
    if (left.first_beat == 0 && left.end_beat() >= part.beats() - 1)
        return false;
    int const first = std::min(left.end_beat(), next.first_beat);
    for (std::size_t n = 1; n < part.spans.size(); ++n)
        if (part.changes(n) && part.spans[n].first_beat >= first)
            return true;
    return false;
}

/// How sure the way is: a walk that leaves the chart is compared with those that do without each of its turns, one that
/// does not with those that would if it cost less.
void compare_ways(EvidenceGrid const& grid, ChordEvidence const& evidence, ExpectedPart const& part,
                  std::vector<double> const& expected, WalkSettings settings, Way& way)
{
    constexpr double kEager = 6; // nats
    auto& stretches = way.walk.stretches;
    if (stretches.size() == 1) {
        settings.eager = kEager;
        auto const other = without_detours(walk_part(grid, evidence, part, expected, settings), part.beats_per_bar);
        if (other.stretches.size() > 1 && moves_changes(part, other.stretches[0], other.stretches[1]))
            way.margin = left_by(other, kEager - (other.score - way.walk.score));
    }
    for (std::size_t n = 1; n < stretches.size(); ++n) {
        settings.without = {stretches[n - 1].end_beat(), stretches[n].first_beat};
        stretches[n].margin = way.walk.score - walk_part(grid, evidence, part, expected, settings).score;
        if (stretches[n].margin < way.margin.nats && moves_changes(part, stretches[n - 1], stretches[n]))
            way.margin = {stretches[n].margin, stretches[n - 1].end_beat(), stretches[n - 1].seconds.back()};
    }
}

/// The best walk over all tempos.
Way best_way(EvidenceGrid const& grid, ChordEvidence const& evidence, ExpectedPart const& part,
             std::vector<double> const& expected, PartWindow const& window)
{
    Way best;
    WalkSettings settings{.window = window};
    for (double const tempo : tempos_of(part, expected)) {
        auto walk = walk_part(grid, evidence, part, expected, {tempo, window});
        if (best.walk.stretches.empty() || walk.score > best.walk.score) {
            best.walk = std::move(walk);
            settings.beat_seconds = tempo;
        }
    }
    best.walk = without_detours(std::move(best.walk), part.beats_per_bar);
    compare_ways(grid, evidence, part, expected, settings, best);
    return best;
}

/// Whether a walk goes straight through a part about where it was expected.
bool agrees(PartWalk const& walk, std::vector<double> const& expected)
{
    constexpr double kBeats = 1.2;
    auto const& seconds = walk.stretches.front().seconds;
    if (seconds.size() < expected.size())
        return false;
    double const length = (seconds.back() - seconds.front()) / static_cast<double>(seconds.size() - 1);
    for (std::size_t n = 0; n < expected.size(); ++n)
        if (std::abs(seconds[n] - expected[n]) > kBeats * length)
            return false;
    return walk.stretches.size() == 1;
}

/// Whether no beat is much longer than another.
bool is_even(std::vector<double> const& beats)
{
    constexpr double kUneven = 1.35;
    double shortest = beats[1] - beats[0];
    double longest = shortest;
    for (std::size_t n = 2; n < beats.size(); ++n) {
        shortest = std::min(shortest, beats[n] - beats[n - 1]);
        longest = std::max(longest, beats[n] - beats[n - 1]);
    }
    return longest < kUneven * shortest;
}

/// A part that was played through and then once more was not begun anew.
void forget_whole_pass(ChartPath& path)
{
    constexpr double kWhole = 0.9;
    auto const& stretches = path.stretches;
    double const length = stretches.back().seconds.back() - stretches.front().seconds.front();
    std::erase_if(path.deviations, [&](Deviation const& d) { return d.beat == 0 && d.to - d.from > kWhole * length; });
}

} // namespace

AlignedPart follow_part(Hearing const& heard, ChordEvidence const& evidence, EvidenceGrid const& grid,
                        ExpectedPart const& part, Boundaries const& boundaries, PartWindow const& window)
{
    auto const expected = beats_between(part, boundaries);
    auto const best = best_way(grid, evidence, part, expected, window);
    if (best.walk.stretches.empty() || agrees(best.walk, expected)) {
        auto placed = place_part(heard, evidence, part, boundaries);
        placed.path = best.margin;
        return placed;
    }
    auto path = chart_path(best.walk);
    forget_whole_pass(path);
    auto placed = place_path(heard, evidence, part, path);
    // The walk hears less well than what places the parts. A tempo that is free enough goes through anything.
    auto straight = place_part(heard, evidence, part, boundaries);
    double const better = straight.score - placed.score + kLeaving * static_cast<double>(placed.deviations.size());
    if (!placed.deviations.empty() && is_even(straight.beats) && better > 0) {
        straight.path = {better, best.margin.beat, best.margin.seconds};
        return straight;
    }
    placed.path = best.margin;
    auto const steady = steadiness(heard);
    for (Deviation& deviation : placed.deviations)
        if (deviation.kind == Deviation::Kind::pause && are_extra_bars(heard, steady, part, placed, deviation))
            deviation.kind = Deviation::Kind::extra;
    return placed;
}

} // namespace tabard::pipeline
