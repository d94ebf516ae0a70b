#pragma once
#include <cstdint>
#include <filesystem>

namespace tabard::pipeline {

/// What is told apart by the system: another file, or the same one written again. All 0 where nothing is there.
struct FileState {
    std::uint64_t device = 0;
    std::uint64_t inode = 0;
    std::int64_t size = 0;
    std::int64_t seconds = 0; ///< of its last change
    std::int64_t nanoseconds = 0;
    friend bool operator==(FileState const&, FileState const&) = default;
};

FileState file_state(std::filesystem::path const& file);

} // namespace tabard::pipeline
