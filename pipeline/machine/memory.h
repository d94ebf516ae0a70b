#pragma once
#include <cstdint>
#include <filesystem>
#include <optional>

namespace tabard::pipeline {

/// Bytes of memory that this process could take now without hurting others: MemAvailable (proc(5)), and no more than
/// its control groups leave (memory.max of version 2, memory.limit_in_bytes of version 1; what the kernel only keeps of
/// files counts as free). None where the system does not say. `root`: of the file system.
std::optional<std::int64_t> available_memory(std::filesystem::path const& root = "/");

} // namespace tabard::pipeline
