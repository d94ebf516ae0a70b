#pragma once
#include <filesystem>

namespace tabard::pipeline {

/// How many processors this process may keep busy, at least one: those it may run on (sched_getaffinity(2)), and no
/// more than the time that its control groups grant (cpu.max of version 2, cpu.cfs_quota_us of version 1, as the
/// kernel's administration guide says), rounded up. `root`: of the file system.
int usable_processors(std::filesystem::path const& root = "/");

} // namespace tabard::pipeline
