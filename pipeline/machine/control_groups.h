#pragma once
#include <cstdint>
#include <filesystem>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace tabard::pipeline {

/// The folders of the control groups round this process that limit `controller` ("cpu", "memory"), innermost first:
/// version 2 and version 1 of the kernel's interface (cgroups(7)). Folders that are not there, as inside a container
/// that sees the host's paths, are left out. `root`: of the file system.
std::vector<std::filesystem::path> control_groups(std::string_view controller, std::filesystem::path const& root);

/// The words of a kernel file's first line; none where it cannot be read.
std::vector<std::string> first_words(std::filesystem::path const& file);

/// A whole number; none for "max" and all else.
std::optional<std::int64_t> kernel_number(std::string_view word);
/// The first word of a kernel file as one.
std::optional<std::int64_t> first_number(std::filesystem::path const& file);

} // namespace tabard::pipeline
