#pragma once
#include "overlay/base/result.h"

#include <stop_token>

namespace tabard::cli {

/// Lets this process hear when the user presses Ctrl-C, the terminal goes away or the system asks it to end (SIGINT,
/// SIGHUP, SIGTERM). A second such signal ends the process at once. What the caller has ignored (nohup, a shell's
/// background job) stays ignored. A write that nobody reads (SIGPIPE) or that goes beyond the largest size allowed
/// (SIGXFSZ) fails with a reason instead of ending the process. main calls it before it starts threads.
void watch_signals();

/// A token that stops at the first of these signals. Long work looks at it, tidies up and returns
/// ErrorKind::interrupted.
std::stop_token interrupt_token();

/// Between the steps of a command: fails with interrupted where there was such a signal.
Result<void> check_not_interrupted();

/// The signal that came first, 0 where none did.
int interrupting_signal();

} // namespace tabard::cli
