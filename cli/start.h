#pragma once
#include "cli/console.h"

#include <filesystem>

namespace tabard::cli {

/// As `tabard start FOOTAGE -o OUTPUT --plain`: a starter cue file for a film, at once. Never replaces one.
Result<void> start_lesson(std::filesystem::path const& footage, std::filesystem::path const& output,
                          Console const& console);

} // namespace tabard::cli
