#pragma once
#include "pipeline/desk/view/layer_store.h"
#include "pipeline/desk/view/lesson_view.h"

#include <string>
#include <vector>

namespace tabard::pipeline {

/// The runs of scenes that touch a stretch of a film, as its frames show them; where its frames are not known, as the
/// timeline has them. Only the scenes of the stretch are worked out.
/// `frames`: when each frame begins, rising; empty: not known (yet).
std::vector<SceneRun> runs_within(Timeline const& timeline, std::vector<Time> const& frames, Time from, Time to);

/// What is on screen over a stretch, as the page gets it (see README.md). Its layers are handed out by `layers`.
std::string scenes_json(DrawnLesson const& drawn, std::vector<Time> const& frames, Time from, Time to,
                        LayerStore& layers);

} // namespace tabard::pipeline
