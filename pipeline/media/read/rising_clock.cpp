#include "pipeline/media/read/rising_clock.h"

#include <algorithm>
#include <cstdlib>

namespace tabard::pipeline {

// Of two times out of order, the one that is further from where it belongs is broken.
bool RisingClock::is_ahead(std::int64_t ticks, std::int64_t next, std::int64_t length) const
{
    if (ticks <= next)
        return false;
    if (!m_last)
        return true;
    return next > *m_last && ticks - m_expected > std::abs(next - m_expected - length);
}

// The place of one whose own time is not known, before one that is.
std::int64_t RisingClock::before(std::int64_t next, std::int64_t length) const
{
    if (!m_last)
        return next - length;
    return next > m_expected ? m_expected : *m_last + (next - *m_last) / 2;
}

bool RisingClock::leaves_gap(std::int64_t ticks) const
{
    return !m_last || time_of(ticks) > time_of(m_expected) + ClockWatch::kDisorder;
}

std::int64_t RisingClock::settle(std::optional<std::int64_t> ticks, std::optional<std::int64_t> next,
                                 std::int64_t length)
{
    bool const ahead = ticks && next && is_ahead(*ticks, *next, length);
    bool const far_behind = ticks && m_last && time_of(*ticks) < time_of(*m_last) - ClockWatch::kDisorder;
    bool const believed = ticks && !ahead && m_watch.add(time_of(*ticks)) && !far_behind;
    bool const rises = believed && (!m_last || *ticks > *m_last);
    if (!rises && (ticks || m_last))
        ++m_repaired;
    std::int64_t settled = 0;
    if (rises)
        settled = *ticks;
    else if (ahead)
        settled = before(*next, length);
    else if (m_last)
        settled = believed ? *m_last + 1 : m_expected;
    // A clock may be finer than ours: two never share an instant.
    while (m_last && time_of(settled) <= time_of(*m_last))
        ++settled;
    m_last = settled;
    m_expected = settled + length;
    return settled;
}

void RisingClock::jump()
{
    m_last.reset();
    m_watch = ClockWatch{kLongestStill};
}

} // namespace tabard::pipeline
