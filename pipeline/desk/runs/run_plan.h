#pragma once
#include "pipeline/desk/runs/command_runs.h"
#include "pipeline/desk/view/lesson_view.h"

#include <filesystem>
#include <memory>
#include <optional>
#include <string>

#include <nlohmann/json_fwd.hpp>

// From what the page asks for to the command that does it.
namespace tabard::pipeline {

/// The lesson that commands are about.
struct RunLesson {
    std::filesystem::path file;             ///< the cue file
    std::filesystem::path state;            ///< a folder for what is only between
    std::shared_ptr<LessonView const> view; ///< as it stands there now
};

/// What is to run, and what it would replace.
struct RunPlan {
    CommandPlan command;
    std::optional<std::string> exists; ///< the name of what is there and may not be replaced
};

/// POST runs. Fails with invalid_input for what is not understood or must not be.
Result<RunPlan> plan_run(nlohmann::ordered_json const& asked, RunLesson const& lesson);

/// POST cut. Writes an edit list that was sent into the state folder; fails with io where that cannot be.
Result<RunPlan> plan_cut(nlohmann::ordered_json const& asked, RunLesson const& lesson);

} // namespace tabard::pipeline
