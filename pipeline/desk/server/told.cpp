#include "pipeline/desk/server/told.h"

#include <algorithm>
#include <chrono>

namespace tabard::pipeline {
namespace {

constexpr std::size_t kMostEvents = 200; // kept for a page that is slow
constexpr std::chrono::seconds kLongestWait{1};

} // namespace

void Told::add(DeskEvent event)
{
    {
        std::scoped_lock const lock{m_mutex};
        m_events.push_back(std::move(event));
        if (m_events.size() > kMostEvents)
            m_events.pop_front();
        ++m_count;
    }
    m_more.notify_all();
}

std::vector<DeskEvent> Told::after(std::uint64_t& seen)
{
    std::unique_lock lock{m_mutex};
    if (seen == 0)
        seen = m_count;
    else
        m_more.wait_for(lock, kLongestWait, [&] { return m_count > seen; });
    auto const news = std::min<std::uint64_t>(m_count - std::min(m_count, seen), m_events.size());
    seen = m_count;
    return {m_events.end() - static_cast<std::ptrdiff_t>(news), m_events.end()};
}

} // namespace tabard::pipeline
