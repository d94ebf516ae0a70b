#include "pipeline/media/read/clock_watch.h"

#include <algorithm>

namespace tabard::pipeline {
namespace {

// Decoding times may stand a little out of order in the file; a recording that is joined on goes back by its length.
constexpr Time kDisorder = from_ticks(1, 1, 2);
constexpr std::size_t kAgreed = 5;

} // namespace

bool ClockWatch::follows(Time before, Time time) const
{
    return time >= before - kDisorder && time <= before + m_longest_step;
}

bool ClockWatch::add(Time time)
{
    if (!m_last || follows(*m_last, time)) {
        m_last = m_last ? std::max(*m_last, time) : time;
        m_doubtful.clear();
        return true;
    }
    if (!m_doubtful.empty() && !follows(m_doubtful.back(), time))
        m_doubtful.clear();
    m_doubtful.push_back(time);
    if (m_doubtful.size() >= kAgreed && !m_restart)
        m_restart = Restart{*m_last, m_doubtful.front()};
    return false;
}

} // namespace tabard::pipeline
