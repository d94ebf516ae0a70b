#include "tests/support/opens.h"

#include <array>
#include <cstdlib>
#include <cstring>
#include <filesystem>
#include <iostream>

#include <sys/inotify.h>
#include <unistd.h>

namespace tabard::tests {

OpenCount::OpenCount(std::filesystem::path const& file) : m_notify(inotify_init1(IN_NONBLOCK | IN_CLOEXEC))
{
    // Reading and closing are watched too, since equal events that wait in a row are told as one.
    if (m_notify < 0 || inotify_add_watch(m_notify, file.c_str(), IN_OPEN | IN_ACCESS | IN_CLOSE) < 0) {
        std::cerr << "cannot watch " << file << ": " << std::strerror(errno) << "\n";
        std::abort();
    }
}

OpenCount::~OpenCount() { close(m_notify); }

int OpenCount::so_far()
{
    alignas(inotify_event) std::array<char, 4096> buffer{};
    for (ssize_t size = 0; (size = read(m_notify, buffer.data(), buffer.size())) > 0;) {
        for (ssize_t at = 0; at < size;) {
            auto const* const event = reinterpret_cast<inotify_event const*>(buffer.data() + at);
            m_opens += (event->mask & IN_OPEN) != 0 ? 1 : 0;
            at += static_cast<ssize_t>(sizeof(inotify_event)) + event->len;
        }
    }
    return m_opens;
}

} // namespace tabard::tests
