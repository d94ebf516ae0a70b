#pragma once
#include "pipeline/files/output_file.h"

#include <filesystem>
#include <functional>
#include <string>

namespace tabard::cli {

/// What --force says.
pipeline::Existing existing(bool force);

/// Before long work: fails where OutputFile::create() would. No name is no file.
Result<void> check_may_write(std::filesystem::path const& file, bool force, pipeline::Inputs const& inputs);

/// The same as a question of a LessonRequest.
std::function<Result<void>(pipeline::Inputs const&)> may_write(std::filesystem::path file, bool force);

/// A file as another one names it: relative to that one's folder where that is possible.
std::string name_beside(std::filesystem::path const& file, std::filesystem::path const& other);

} // namespace tabard::cli
