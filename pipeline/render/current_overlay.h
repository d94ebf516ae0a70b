#pragma once
#include "pipeline/render/compositor.h"
#include "pipeline/render/scene_runs.h"

namespace tabard::pipeline {

/// Remembers the overlay of the run that was asked for last: pictures come in order, so it changes
/// only with the scene. Borrows both.
class CurrentOverlay {
public:
    CurrentOverlay(SceneRuns const& runs, Compositor& compositor) : m_runs(runs), m_compositor(compositor) {}

    /// Null where nothing is shown at `time`.
    SceneOverlay const* at(Time time) { return of(m_runs.at(time)); }
    /// Null where nothing is shown on a picture that is on screen over [from, until).
    SceneOverlay const* on_picture(Time from, Time until) { return of(m_runs.on_picture(from, until)); }

private:
    SceneOverlay const* of(SceneRun const* run)
    {
        if (run && run != m_run)
            m_overlay = m_compositor.prepare(run->scene);
        m_run = run ? run : m_run;
        return run ? &m_overlay : nullptr;
    }

    SceneRuns const& m_runs;
    Compositor& m_compositor;
    SceneRun const* m_run = nullptr;
    SceneOverlay m_overlay;
};

} // namespace tabard::pipeline
