#include "pipeline/render/scene_runs.h"

#include "overlay/base/precondition.h"

#include <algorithm>

namespace tabard::pipeline {

SceneRuns::SceneRuns(std::vector<SceneRun> runs)
{
    for (SceneRun& run : runs) {
        PRECONDITION(m_runs.empty() || m_runs.back().out <= run.in);
        if (run.scene.empty() || run.in >= run.out)
            continue;
        if (!m_runs.empty() && m_runs.back().out == run.in && m_runs.back().scene == run.scene)
            m_runs.back().out = run.out;
        else
            m_runs.push_back(std::move(run));
    }
}

SceneRuns SceneRuns::of(Timeline const& timeline)
{
    std::vector<SceneRun> runs;
    std::vector<Time> const& instants = timeline.change_instants();
    for (std::size_t i = 0; i + 1 < instants.size(); ++i)
        runs.push_back({instants[i], instants[i + 1], timeline.scene_at(instants[i])});
    return SceneRuns(std::move(runs));
}

SceneRun const* SceneRuns::at(Time time) const
{
    auto const after =
        std::upper_bound(m_runs.begin(), m_runs.end(), time, [](Time t, SceneRun const& run) { return t < run.out; });
    return after != m_runs.end() && after->in <= time ? &*after : nullptr;
}

SceneRun const* SceneRuns::on_picture(Time from, Time until) const
{
    return at(std::max(from, until - kOnScreenSlack - Time{1}));
}

std::vector<Time> SceneRuns::repeats(Time from, Time until) const
{
    std::vector<Time> times;
    if (until - from <= kLongestPicture)
        return times;
    auto const add = [&](Time at) {
        if (at > from + kOnScreenSlack && at < until - kOnScreenSlack && (times.empty() || at > times.back()))
            times.push_back(at);
    };
    auto run =
        std::upper_bound(m_runs.begin(), m_runs.end(), from, [](Time t, SceneRun const& each) { return t < each.out; });
    for (; run != m_runs.end() && run->in < until; ++run) {
        add(run->in);
        add(run->out);
    }
    return times;
}

std::vector<Time> SceneRuns::with_repeats(std::vector<Time> const& times, Time end) const
{
    std::vector<Time> all;
    for (std::size_t i = 0; i < times.size(); ++i) {
        all.push_back(times[i]);
        auto const more = repeats(times[i], i + 1 < times.size() ? times[i + 1] : end);
        all.insert(all.end(), more.begin(), more.end());
    }
    return all;
}

SceneRuns SceneRuns::on_pictures(std::vector<Time> const& times, Time end) const
{
    std::vector<Time> const shown = with_repeats(times, end);
    std::vector<SceneRun> runs;
    SceneRun const* last = nullptr;
    for (std::size_t i = 0; i < shown.size(); ++i) {
        Time const until = i + 1 < shown.size() ? shown[i + 1] : std::max(end, shown[i] + Time{1});
        SceneRun const* const run = on_picture(shown[i], until);
        if (run && run == last)
            runs.back().out = until;
        else if (run)
            runs.push_back({shown[i], until, run->scene});
        last = run;
    }
    return SceneRuns(std::move(runs));
}

} // namespace tabard::pipeline
