#pragma once
#include "overlay/base/result.h"

#include <filesystem>
#include <string_view>

namespace tabard::pipeline {

/// Makes the folder and those above it where they are not there, for this user alone (mode 0700). Fails with io, also
/// where it is somebody else's or a link.
Result<void> make_private_folder(std::filesystem::path const& folder);

/// Puts a file there that this user alone can read (mode 0600), whole or not at all. Fails with io.
Result<void> write_private_file(std::string_view bytes, std::filesystem::path const& path);

} // namespace tabard::pipeline
