#include "pipeline/listen/part_trellis.h"

#include "pipeline/listen/onset_novelty.h"

#include <algorithm>
#include <cmath>

namespace tabard::pipeline {

namespace {

constexpr double kShortest = 0.55; ///< of the expected length
constexpr double kLongest = 1.8;

} // namespace

EvidenceGrid lay_grid(ChordEvidence const& evidence, std::span<float const> novelty, double step)
{
    EvidenceGrid grid;
    grid.step = step;
    grid.gap = evidence.sampled_gap(step);
    grid.size = static_cast<int>(grid.gap.size());
    for (std::size_t chord = 0; chord < evidence.chords(); ++chord)
        grid.chords.push_back(evidence.sampled(chord, step));
    double const per_step = step / kNoveltyStep;
    grid.onsets.resize(grid.gap.size());
    for (int n = 0; n < grid.size; ++n) {
        auto const first = static_cast<std::ptrdiff_t>(std::max(0.0, std::ceil((n - 0.5) * per_step)));
        auto const last = std::min(static_cast<std::ptrdiff_t>((n + 0.5) * per_step) + 1, std::ssize(novelty));
        for (std::ptrdiff_t at = first; at < last; ++at)
            grid.onsets[static_cast<std::size_t>(n)] =
                std::max(grid.onsets[static_cast<std::size_t>(n)], novelty[static_cast<std::size_t>(at)]);
    }
    return grid;
}

PartTrellis::PartTrellis(EvidenceGrid const& grid, std::vector<Span> spans, std::vector<GridRange> ranges,
                         double deviation)
    : m_grid(&grid), m_spans(std::move(spans)), m_ranges(std::move(ranges)), m_deviation(deviation)
{
}

void PartTrellis::run(std::vector<float> const& entry)
{
    m_entry = entry;
    m_scores = entry;
    for (std::size_t span = 0; span < m_spans.size(); ++span)
        m_scores = advance(m_spans[span], m_ranges[span], m_ranges[span + 1], m_scores, nullptr);
}

GridRange PartTrellis::lengths_of(Span const& span)
{
    int const shortest = std::max(1, static_cast<int>(std::ceil(kShortest * span.steps)));
    return {shortest, std::max(shortest, static_cast<int>(kLongest * span.steps))};
}

PartTrellis::Scores PartTrellis::advance(Span const& span, GridRange from, GridRange to, Scores const& scores,
                                         Lengths* best) const
{
    auto const& sums = m_grid->chords[span.chord];
    auto const [shortest, longest] = lengths_of(span);
    std::vector<float> cost;
    for (int length = shortest; length <= longest; ++length) {
        double const stretch = std::log(length / span.steps) / m_deviation;
        cost.push_back(static_cast<float>(0.5 * stretch * stretch));
    }
    Scores entered(scores);
    for (int n = 0; n < from.size(); ++n) {
        auto const at = static_cast<std::size_t>(from.low + n);
        entered[static_cast<std::size_t>(n)] += span.onset_weight * m_grid->onsets[at] - sums[at];
    }
    Scores result(static_cast<std::size_t>(to.size()), kImpossible);
    if (best)
        best->assign(static_cast<std::size_t>(to.size()), 0);
    for (int end = to.low; end < to.high; ++end) {
        int const low = std::max(shortest, end - from.high + 1);
        int const high = std::min(longest, end - from.low);
        float best_score = kImpossible;
        int best_length = 0;
        for (int length = low; length <= high; ++length) {
            float const score = entered[static_cast<std::size_t>(end - length - from.low)] -
                                cost[static_cast<std::size_t>(length - shortest)];
            if (score > best_score) {
                best_score = score;
                best_length = length;
            }
        }
        if (best_score > kImpossible / 2) {
            auto const n = static_cast<std::size_t>(end - to.low);
            result[n] = best_score + sums[static_cast<std::size_t>(end)];
            if (best)
                (*best)[n] = static_cast<std::uint16_t>(best_length);
        }
    }
    return result;
}

std::vector<GridRange> PartTrellis::leading_to(int end) const
{
    std::vector<GridRange> ranges(m_ranges);
    GridRange reach{end, end + 1};
    for (std::size_t n = ranges.size(); n-- > 0;) {
        ranges[n] = {std::max(ranges[n].low, reach.low), std::min(ranges[n].high, reach.high)};
        if (n > 0) {
            auto const [shortest, longest] = lengths_of(m_spans[n - 1]);
            reach = {reach.low - longest, reach.high - shortest};
        }
    }
    return ranges;
}

std::vector<int> PartTrellis::trace(int end) const
{
    auto const ranges = leading_to(end);
    auto const first = m_entry.begin() + (ranges.front().low - m_ranges.front().low);
    Scores scores(first, first + ranges.front().size());
    std::vector<Lengths> lengths(m_spans.size());
    for (std::size_t span = 0; span < m_spans.size(); ++span)
        scores = advance(m_spans[span], ranges[span], ranges[span + 1], scores, &lengths[span]);
    std::vector<int> boundaries(ranges.size());
    boundaries.back() = end;
    for (std::size_t span = m_spans.size(); span-- > 0;)
        boundaries[span] =
            boundaries[span + 1] - lengths[span][static_cast<std::size_t>(boundaries[span + 1] - ranges[span + 1].low)];
    return boundaries;
}

} // namespace tabard::pipeline
