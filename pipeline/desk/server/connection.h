#pragma once
#include "pipeline/files/descriptor.h"

#include <chrono>
#include <cstddef>
#include <string>

namespace tabard::pipeline {

/// A connection of a browser. Whoever sends slowly or without end is left: a request has so much time and so many
/// bytes.
class Connection {
public:
    explicit Connection(int socket);

    int socket() const { return m_socket.get(); }
    /// Waits for the first byte of a request. False where none comes in time, or the other side has gone.
    bool wait_for_request(std::chrono::milliseconds most);
    /// What is read from now on belongs to a new request, first to its head, which is short.
    void begin_request();
    /// Its body follows.
    void begin_body();

    /// Up to `size` bytes; 0 at the end, -1 where time or bytes are used up.
    std::ptrdiff_t read(char* bytes, std::size_t size);
    /// Some of it; -1 where the other side takes nothing for too long, or has gone.
    std::ptrdiff_t write(char const* bytes, std::size_t size);
    bool is_writable() const;

private:
    bool wait(short events, std::chrono::milliseconds most) const;
    std::ptrdiff_t fill();

    Descriptor m_socket;
    std::string m_read; ///< from the socket, from m_next on not yet given on
    std::size_t m_next = 0;
    std::size_t m_left = 0; ///< bytes that may still come of this request
    std::chrono::steady_clock::time_point m_until;
};

} // namespace tabard::pipeline
