#pragma once
#include <filesystem>
#include <string>

namespace tabard::pipeline {

/// For a file that is not there: "; did you mean 'lesson.json'?" where its folder has a file of nearly that name,
/// "; there is no folder 'sub'" where the folder is missing too, else empty.
std::string near_file_hint(std::filesystem::path const& missing);

} // namespace tabard::pipeline
