#pragma once
#include "overlay/drawing/scene.h"
#include "pipeline/time/time.h"
#include "pipeline/timeline/timeline.h"

#include <vector>

namespace tabard::pipeline {

/// One scene, on screen over [in, out).
struct SceneRun {
    Time in{0};
    Time out{0};
    overlay::Scene scene;
    friend bool operator==(SceneRun const&, SceneRun const&) = default;
};

/// The scenes of a film that show anything, rising and without overlap; equal neighbours are one. A picture shows the
/// run that holds its presentation time: so an overlay comes on the first picture at or after its in-point and is gone
/// on the first at or after its out-point, whatever the frame rate does.
class SceneRuns {
public:
    SceneRuns() = default;
    /// `runs` rise and do not overlap; empty scenes are dropped.
    explicit SceneRuns(std::vector<SceneRun> runs);
    static SceneRuns of(Timeline const& timeline);

    /// The run on screen at `time`, or null where nothing is shown. Valid as long as this is.
    SceneRun const* at(Time time) const;
    std::vector<SceneRun> const& all() const { return m_runs; }

private:
    std::vector<SceneRun> m_runs;
};

} // namespace tabard::pipeline
