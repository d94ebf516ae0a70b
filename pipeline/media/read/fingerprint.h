#pragma once
#include "overlay/base/result.h"

#include <filesystem>
#include <string>

namespace tabard::pipeline {

/// A word that tells one film from another: a digest of the file's length and of three stretches of its bytes (start,
/// middle, end; a quarter MiB each), so that it takes no time for any length. A copy has the same; a new cut or a new
/// encoding has not. Fails as
/// sample_file().
Result<std::string> footage_fingerprint(std::filesystem::path const& footage);

} // namespace tabard::pipeline
