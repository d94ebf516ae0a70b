#include "pipeline/timeline/layer_track.h"

#include "overlay/drawing/scene.h"

#include <algorithm>
#include <iterator>
#include <utility>

namespace tabard::pipeline {
namespace {

constexpr int kFadeSteps = 3;
/// What is on screen for less time than this comes and goes at once.
constexpr Time kShortestFaded = 4 * kFadeSteps * kFadeStep;

/// The level `since` after the start of a fade in.
int rising(Time since)
{
    std::int64_t const step = since / kFadeStep;
    return step >= kFadeSteps ? overlay::kFullLevel
                              : static_cast<int>(step + 1) * overlay::kFullLevel / (kFadeSteps + 1);
}

} // namespace

LayerTrack::LayerTrack(std::vector<LayerSpan> spans) : m_spans(std::move(spans))
{
    std::ranges::stable_sort(m_spans, {}, &LayerSpan::in);
    for (std::size_t i = 0; i + 1 < m_spans.size(); ++i)
        m_spans[i].out = std::min(m_spans[i].out, m_spans[i + 1].in);
    std::erase_if(m_spans, [](LayerSpan const& span) { return span.out <= span.in; });
    for (LayerSpan const& span : m_spans) {
        if (!m_runs.empty() && m_runs.back().out == span.in)
            m_runs.back().out = span.out;
        else
            m_runs.push_back({span.in, span.out});
    }
}

LayerSpan const* LayerTrack::at(Time time) const
{
    auto const after = std::ranges::upper_bound(m_spans, time, {}, &LayerSpan::in);
    if (after == m_spans.begin() || time >= std::prev(after)->out)
        return nullptr;
    return &*std::prev(after);
}

int LayerTrack::level_at(Time time) const
{
    Run const& run = *std::prev(std::ranges::upper_bound(m_runs, time, {}, &Run::in));
    if (run.out - run.in < kShortestFaded)
        return overlay::kFullLevel;
    return std::min(rising(time - run.in), rising(run.out - time - Time{1}));
}

void LayerTrack::add_change_instants(std::vector<Time>& instants) const
{
    for (LayerSpan const& span : m_spans)
        instants.insert(instants.end(), {span.in, span.out});
    for (Run const& run : m_runs)
        for (int step = 1; step <= kFadeSteps && run.out - run.in >= kShortestFaded; ++step)
            instants.insert(instants.end(), {run.in + step * kFadeStep, run.out - step * kFadeStep});
}

} // namespace tabard::pipeline
