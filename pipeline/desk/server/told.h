#pragma once
#include <condition_variable>
#include <cstdint>
#include <deque>
#include <mutex>
#include <string>
#include <vector>

namespace tabard::pipeline {

/// One thing that every open page is told.
struct DeskEvent {
    std::string name; ///< "lesson"
    std::string data; ///< JSON on one line
};

/// What pages were told, in order. Thread-safe.
class Told {
public:
    void add(DeskEvent event);
    /// As Desk::events_after().
    std::vector<DeskEvent> after(std::uint64_t& seen);

private:
    std::mutex m_mutex;
    std::condition_variable m_more;
    std::deque<DeskEvent> m_events; ///< the last ones
    std::uint64_t m_count = 1;      ///< of all that was ever told, and one
};

} // namespace tabard::pipeline
