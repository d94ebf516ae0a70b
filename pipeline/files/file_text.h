#pragma once
#include "overlay/base/result.h"

#include <cstddef>
#include <filesystem>
#include <string>
#include <string_view>

namespace tabard::pipeline {

/// The bytes of a file, at most `most` + 1 of them (the caller refuses what is longer). Fails with not_found or io.
Result<std::string> read_file_text(std::filesystem::path const& path, std::size_t most);

/// Writes the file as a whole or not at all: a temporary file beside it, flushed to the disk, then a rename. The mode
/// of a file that is replaced stays. Fails with io.
Result<void> write_file_text(std::string_view text, std::filesystem::path const& path);

} // namespace tabard::pipeline
