#pragma once
#include "overlay/base/result.h"

#include <filesystem>
#include <vector>

namespace tabard::pipeline {

/// Whether a file is named .json and holds the key of a cue file's version with a number, whatever else may be wrong
/// with it; true too where a file of that name cannot be read.
bool is_lesson(std::filesystem::path const& file);

/// The cue files of a folder and of the folders in it, in order of their paths, as is_lesson() knows them. Links to
/// folders are not followed. Fails with not_found where a folder cannot be read.
Result<std::vector<std::filesystem::path>> lessons_in(std::filesystem::path const& folder);

} // namespace tabard::pipeline
