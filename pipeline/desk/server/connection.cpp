#include "pipeline/desk/server/connection.h"

#include <algorithm>
#include <array>
#include <cerrno>
#include <cstring>

#include <fcntl.h>
#include <netinet/in.h>
#include <netinet/tcp.h>
#include <poll.h>
#include <sys/socket.h>

namespace tabard::pipeline {
namespace {

using std::chrono::milliseconds;
using std::chrono::steady_clock;

constexpr std::size_t kLongestHead = std::size_t{64} << 10;
constexpr std::size_t kLongestBody = std::size_t{5} << 20;
constexpr milliseconds kToSend{15'000}; // one request
// A browser stops taking a film that it has enough of, and asks again for the rest.
constexpr milliseconds kToTake{20'000};

} // namespace

Connection::Connection(int socket) : m_socket(socket)
{
    ::fcntl(socket, F_SETFD, FD_CLOEXEC); // no command that runs meanwhile keeps it open
    ::fcntl(socket, F_SETFL, ::fcntl(socket, F_GETFL) | O_NONBLOCK);
    int const on = 1;
    ::setsockopt(socket, IPPROTO_TCP, TCP_NODELAY, &on, sizeof on);
    begin_request();
}

bool Connection::wait(short events, milliseconds most) const
{
    pollfd ready{m_socket.get(), events, 0};
    auto const until = steady_clock::now() + most;
    for (;;) {
        auto const left = std::chrono::ceil<milliseconds>(until - steady_clock::now());
        int const found = ::poll(&ready, 1, static_cast<int>(std::max<milliseconds::rep>(0, left.count())));
        if (found >= 0 || errno != EINTR)
            return found > 0;
    }
}

bool Connection::wait_for_request(milliseconds most)
{
    return m_next < m_read.size() || (wait(POLLIN, most) && (begin_request(), fill() > 0));
}

void Connection::begin_request()
{
    m_left = kLongestHead;
    m_until = steady_clock::now() + kToSend;
}

void Connection::begin_body() { m_left = kLongestBody; }

std::ptrdiff_t Connection::fill()
{
    std::array<char, 16'384> block{};
    for (;;) {
        auto const left = std::chrono::duration_cast<milliseconds>(m_until - steady_clock::now());
        if (left <= milliseconds{0} || !wait(POLLIN, left))
            return -1;
        ssize_t const got = ::recv(m_socket.get(), block.data(), block.size(), 0);
        if (got < 0 && (errno == EINTR || errno == EAGAIN))
            continue;
        m_read.assign(block.data(), static_cast<std::size_t>(std::max<ssize_t>(0, got)));
        m_next = 0;
        return got;
    }
}

std::ptrdiff_t Connection::read(char* bytes, std::size_t size)
{
    if (m_left == 0)
        return -1;
    if (m_next == m_read.size())
        if (auto const got = fill(); got <= 0)
            return got;
    std::size_t const count = std::min({size, m_read.size() - m_next, m_left});
    std::memcpy(bytes, m_read.data() + m_next, count);
    m_next += count;
    m_left -= count;
    return static_cast<std::ptrdiff_t>(count);
}

std::ptrdiff_t Connection::write(char const* bytes, std::size_t size)
{
    for (;;) {
        ssize_t const sent = ::send(m_socket.get(), bytes, size, MSG_NOSIGNAL);
        if (sent >= 0)
            return sent;
        if (errno == EINTR)
            continue;
        if (errno != EAGAIN || !wait(POLLOUT, kToTake))
            return -1;
    }
}

bool Connection::is_writable() const { return wait(POLLOUT, kToTake); }

} // namespace tabard::pipeline
