#include "cli/interrupt.h"

#include <csignal>
#include <cstdlib>
#include <thread>

namespace tabard::cli {

namespace {

constexpr int kInterrupted = 130;

/// Blocks the signals in every thread to come and lets one of its own wait for them: no code runs in a signal handler.
std::stop_source watch_signals()
{
    sigset_t signals;
    sigemptyset(&signals);
    sigaddset(&signals, SIGINT);
    sigaddset(&signals, SIGTERM);
    pthread_sigmask(SIG_BLOCK, &signals, nullptr);
    std::stop_source source;
    std::thread([signals, source]() mutable {
        int signal = 0;
        sigwait(&signals, &signal);
        source.request_stop();
        sigwait(&signals, &signal);
        std::_Exit(kInterrupted);
    }).detach();
    return source;
}

} // namespace

std::stop_token interrupt_token()
{
    static std::stop_source const source = watch_signals();
    return source.get_token();
}

} // namespace tabard::cli
