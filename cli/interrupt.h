#pragma once
#include <stop_token>

namespace tabard::cli {

/// A token that stops when the user presses Ctrl-C or the system asks the process to end (SIGINT, SIGTERM). Long work
/// looks at it, tidies up and returns ErrorKind::interrupted. A second signal ends the process at once. Call it in the
/// main thread before the command starts threads; a command that never does ends at the first signal.
std::stop_token interrupt_token();

} // namespace tabard::cli
