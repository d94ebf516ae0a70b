#include "cli/interrupt.h"

#include <csignal>

namespace tabard::cli {

namespace {
std::atomic<bool> g_interrupted{false};
static_assert(std::atomic<bool>::is_always_lock_free, "a signal handler may write lock-free atomics only");

extern "C" void on_interrupt(int signal) noexcept
{
    g_interrupted.store(true);
    std::signal(signal, SIG_DFL);
}
} // namespace

void install_interrupt_handler()
{
    std::signal(SIGINT, on_interrupt);
    std::signal(SIGTERM, on_interrupt);
}

std::atomic<bool> const& interrupt_flag() { return g_interrupted; }

} // namespace tabard::cli
