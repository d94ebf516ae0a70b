#include "pipeline/files/progress_line.h"

#include <atomic>
#include <cerrno>
#include <charconv>
#include <cstdlib>

#include <fcntl.h>
#include <fmt/format.h>
#include <poll.h>
#include <unistd.h>

namespace tabard::pipeline {
namespace {

std::atomic<int> progress_descriptor = -1;

} // namespace

void find_progress_descriptor()
{
    char const* const named = std::getenv("TABARD_PROGRESS");
    std::string_view const text = named == nullptr ? "" : named;
    int number = -1;
    auto const [end, failed] = std::from_chars(text.data(), text.data() + text.size(), number);
    // Standard output is for results alone.
    bool const usable = failed == std::errc{} && end == text.data() + text.size() && number >= STDERR_FILENO;
    if (usable && ::fcntl(number, F_GETFD) != -1)
        progress_descriptor = number;
}

bool progress_is_wanted() { return progress_descriptor >= 0; }

void tell_progress(double share_done, std::string_view label)
{
    int const descriptor = progress_descriptor;
    pollfd asked{descriptor, POLLOUT, 0};
    if (descriptor < 0 || ::poll(&asked, 1, 0) != 1)
        return;
    // A pipe that is ready takes at least PIPE_BUF (512 or more, POSIX.1-2017 limits.h) bytes without waiting.
    std::string const line = fmt::format("{:.4f} {}\n", share_done, label.substr(0, 256));
    bool const ready = (asked.revents & POLLOUT) != 0 && (asked.revents & (POLLERR | POLLNVAL)) == 0;
    if (!ready || (::write(descriptor, line.data(), line.size()) < 0 && errno != EAGAIN && errno != EINTR))
        progress_descriptor = -1;
}

} // namespace tabard::pipeline
