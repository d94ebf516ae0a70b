#pragma once
#include "overlay/base/result.h"

#include <filesystem>
#include <string>
#include <vector>

namespace tabard::pipeline {

/// What lies in a lesson's folder (not in the folders in it), by plain names (output_name.h), in order.
struct LessonFiles {
    std::vector<std::string> lessons; ///< cue files
    std::vector<std::string> films;
    std::vector<std::string> cuts; ///< edit lists, by their endings
};

/// Fails with not_found where the folder cannot be read.
Result<LessonFiles> lesson_files(std::filesystem::path const& folder);

} // namespace tabard::pipeline
