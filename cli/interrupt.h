#pragma once
#include <atomic>

namespace tabard::cli {

/// From now on Ctrl-C (SIGINT) and SIGTERM set the flag below, once; a second one ends the process at once.
void install_interrupt_handler();

/// True once the user asked to stop. Long work looks at it, tidies up and returns ErrorKind::interrupted.
std::atomic<bool> const& interrupt_flag();

} // namespace tabard::cli
