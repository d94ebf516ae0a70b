#include "cli/interrupt.h"

#include "cli/command.h"

#include <atomic>
#include <chrono>
#include <csignal>
#include <thread>

#include <unistd.h>

namespace tabard::cli {

namespace {

std::atomic<int> first_signal = 0;

/// Signals that come so close are one request: a parent that is killed tells its children once for each of its threads
/// (PR_SET_PDEATHSIG, prctl(2)).
constexpr auto kOneRequest = std::chrono::milliseconds{250};

std::stop_source& stop_source()
{
    static std::stop_source source;
    return source;
}

bool is_ignored(int signal)
{
    struct sigaction action {};
    return ::sigaction(signal, nullptr, &action) == 0 && action.sa_handler == SIG_IGN;
}

} // namespace

void watch_signals()
{
    std::signal(SIGPIPE, SIG_IGN);
    std::signal(SIGXFSZ, SIG_IGN);
    sigset_t signals;
    sigemptyset(&signals);
    // A signal that is ignored would still be seen by sigwait() if it were blocked.
    for (int const signal : {SIGINT, SIGTERM, SIGHUP})
        if (!is_ignored(signal))
            sigaddset(&signals, signal);
    // Blocked in every thread to come, and one of its own waits for them: no code runs in a signal handler.
    pthread_sigmask(SIG_BLOCK, &signals, nullptr);
    std::thread([signals, source = stop_source()]() mutable {
        int signal = 0;
        sigwait(&signals, &signal);
        first_signal = signal;
        source.request_stop();
        auto const asked = std::chrono::steady_clock::now();
        do
            sigwait(&signals, &signal);
        while (std::chrono::steady_clock::now() - asked < kOneRequest);
        ::_exit(static_cast<int>(exit_code(ErrorKind::interrupted)));
    }).detach();
}

std::stop_token interrupt_token() { return stop_source().get_token(); }

Result<void> check_not_interrupted()
{
    if (interrupt_token().stop_requested())
        return Error{ErrorKind::interrupted, "stopped"};
    return {};
}

int interrupting_signal() { return first_signal; }

} // namespace tabard::cli
