#pragma once
#include "overlay/base/result.h"

#include <filesystem>
#include <vector>

namespace tabard::pipeline {

/// The cue files of a folder and of the folders in it, in order of their paths: files named .json that hold the key of
/// a cue file's version with a number, whatever else may be wrong with them, and those that cannot be read. Links to
/// folders are not followed. Fails with not_found where a folder cannot be read.
Result<std::vector<std::filesystem::path>> lessons_in(std::filesystem::path const& folder);

} // namespace tabard::pipeline
