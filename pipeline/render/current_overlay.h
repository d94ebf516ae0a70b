#pragma once
#include "pipeline/render/compositor.h"
#include "pipeline/render/scene_runs.h"

namespace tabard::pipeline {

/// Remembers the overlay of the run that was asked for last: pictures come in order, so it changes
/// only with the scene. Borrows both.
class CurrentOverlay {
public:
    CurrentOverlay(SceneRuns const& runs, Compositor& compositor) : m_runs(runs), m_compositor(compositor) {}

    /// Null where nothing is shown.
    SceneOverlay const* at(Time time)
    {
        SceneRun const* const run = m_runs.at(time);
        if (run && run != m_run)
            m_overlay = m_compositor.prepare(run->scene);
        m_run = run ? run : m_run;
        return run ? &m_overlay : nullptr;
    }

private:
    SceneRuns const& m_runs;
    Compositor& m_compositor;
    SceneRun const* m_run = nullptr;
    SceneOverlay m_overlay;
};

} // namespace tabard::pipeline
