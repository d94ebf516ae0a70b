#pragma once
#include "pipeline/files/descriptor.h"

#include <cstdint>
#include <filesystem>
#include <string_view>

namespace tabard::pipeline {

/// A file that grows at its end, for this user alone (mode 0600): what was appended is on the disk. One writer.
class AppendFile {
public:
    /// Makes the file where it is not there. Fails with io.
    static Result<AppendFile> open(std::filesystem::path const& path);

    std::int64_t size() const { return m_size; }
    /// All of it or, where that fails, nothing. Fails with io.
    Result<void> append(std::string_view bytes);
    /// The same, but what is appended may be lost where the power goes.
    Result<void> append_unhurried(std::string_view bytes);
    /// Drops what is behind `size` bytes. Fails with io.
    Result<void> cut_to(std::int64_t size);

private:
    AppendFile(std::filesystem::path path, Descriptor file, std::int64_t size);
    std::filesystem::path m_path;
    Descriptor m_file;
    std::int64_t m_size;
};

} // namespace tabard::pipeline
