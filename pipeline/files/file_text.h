#pragma once
#include "overlay/base/result.h"

#include <array>
#include <cstddef>
#include <cstdint>
#include <filesystem>
#include <string>

namespace tabard::pipeline {

/// The bytes of a file of at most `most` bytes, whatever its header or the system says of its length. Never waits and
/// never reads on: fails with not_found; invalid_input for a folder, a pipe, a device, or a file that is longer; io.
Result<std::string> read_file_text(std::filesystem::path const& path, std::size_t most);

/// What tells one long file from another without reading it all: its length, and its bytes at the start, in the middle
/// and at the end.
struct FileSample {
    std::int64_t size = 0;
    std::array<std::string, 3> stretches; ///< each of the same length; they overlap in a short file
};

/// Stretches of at most `stretch` bytes. Fails as read_file_text().
Result<FileSample> sample_file(std::filesystem::path const& path, std::size_t stretch);

} // namespace tabard::pipeline
