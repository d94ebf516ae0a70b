#pragma once
#include "tests/support/run_program.h"

#include <functional>
#include <string>
#include <vector>

#include <sys/types.h>

namespace tabard::tests {

/// Runs `words` with a pseudo-terminal as its three standard streams; `out` holds all that the terminal was sent.
ProgramRun run_on_terminal(std::vector<std::string> const& words);

/// The same, but the terminal goes away as soon as it was sent something. Only `exit` says anything.
ProgramRun run_on_vanishing_terminal(std::vector<std::string> const& words);

/// Runs `words` with files as its standard streams and calls `meanwhile` with its process until that returns true or
/// the process ends.
ProgramRun run_and_disturb(std::vector<std::string> const& words, std::function<bool(pid_t)> const& meanwhile);

} // namespace tabard::tests
