#pragma once
#include "cli/command.h"
#include "pipeline/files/inputs.h"

#include <filesystem>
#include <functional>

namespace tabard::cli {

/// Calls `once` now, and again each time one of the files that it read was saved, until the user ends the program;
/// prints the time of day before each. `once` gives the files that it read and says itself what went wrong. Files are
/// looked at ten times a second, so that network folders work too. `cues` must be there to begin with.
ExitCode watch(std::filesystem::path const& cues, Console const& console,
               std::function<pipeline::Inputs()> const& once);

} // namespace tabard::cli
