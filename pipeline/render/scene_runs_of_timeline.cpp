#include "pipeline/render/scene_runs.h"

namespace tabard::pipeline {

SceneRuns SceneRuns::of(Timeline const& timeline)
{
    std::vector<SceneRun> runs;
    std::vector<Time> const& instants = timeline.change_instants();
    for (std::size_t i = 0; i + 1 < instants.size(); ++i)
        runs.push_back({instants[i], instants[i + 1], timeline.scene_at(instants[i])});
    return SceneRuns(std::move(runs));
}

} // namespace tabard::pipeline
