#pragma once
#include "overlay/base/result.h"

#include <filesystem>
#include <string>

namespace tabard::cli {

/// Fails with invalid_input where the file is there and `force` does not say to replace it. No name is no file.
Result<void> check_may_write(std::filesystem::path const& file, bool force);

/// A file as another one names it: relative to that one's folder where that is possible.
std::string name_beside(std::filesystem::path const& file, std::filesystem::path const& other);

} // namespace tabard::cli
