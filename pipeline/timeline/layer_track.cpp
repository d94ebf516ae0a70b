#include "pipeline/timeline/layer_track.h"

#include "overlay/drawing/scene.h"

#include <algorithm>
#include <iterator>
#include <utility>

namespace tabard::pipeline {
namespace {

/// What is on screen for less time than this comes and goes at once.
constexpr Time kShortestFaded = 4 * kFadeLength;

/// The level that far away from the full one's end.
int level_within(Time left)
{
    std::int64_t const steps = left / kFadeStep;
    return steps >= kFadeSteps ? overlay::kFullLevel
                               : static_cast<int>(steps + 1) * overlay::kFullLevel / (kFadeSteps + 1);
}

} // namespace

bool LayerTrack::Run::fades() const { return out - in >= kShortestFaded; }

LayerTrack::LayerTrack(std::vector<LayerSpan> spans, std::function<Time(LayerSpan const&)> const& room_from)
    : m_spans(std::move(spans))
{
    std::ranges::stable_sort(m_spans, {}, &LayerSpan::in);
    for (std::size_t i = 0; i + 1 < m_spans.size(); ++i)
        m_spans[i].out = std::min(m_spans[i].out, m_spans[i + 1].in);
    std::erase_if(m_spans, [](LayerSpan const& span) { return span.out <= span.in; });
    std::vector<std::size_t> firsts; // of each run
    for (std::size_t i = 0; i < m_spans.size(); ++i) {
        LayerSpan const& span = m_spans[i];
        if (!m_runs.empty() && m_runs.back().out == span.in) {
            m_runs.back().out = span.out;
            continue;
        }
        Time const room = m_runs.empty() ? room_from(span) : std::max(room_from(span), m_runs.back().out);
        m_runs.push_back({std::min(span.in, std::max(room, span.in - kFadeLength)), span.in, span.out});
        firsts.push_back(i);
    }
    for (std::size_t i = 0; i < m_runs.size(); ++i) {
        if (!m_runs[i].fades())
            m_runs[i].fade_from = m_runs[i].in;
        m_spans[firsts[i]].in = m_runs[i].fade_from;
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
    Run const& run = *std::prev(std::ranges::upper_bound(m_runs, time, {}, &Run::fade_from));
    if (!run.fades())
        return overlay::kFullLevel;
    if (time < run.in)
        return overlay::kFullLevel - level_within(run.in - time - Time{1});
    return level_within(run.out - time - Time{1});
}

void LayerTrack::add_change_instants(std::vector<Time>& instants) const
{
    for (LayerSpan const& span : m_spans)
        instants.insert(instants.end(), {span.in, span.out});
    for (Run const& run : m_runs) {
        if (!run.fades())
            continue;
        for (int step = 0; step < kFadeSteps; ++step) {
            if (run.in - step * kFadeStep > run.fade_from)
                instants.push_back(run.in - step * kFadeStep);
            instants.push_back(run.out - (step + 1) * kFadeStep);
        }
    }
}

} // namespace tabard::pipeline
