#include "pipeline/media/read/picture_clock.h"

#include <algorithm>
#include <cstdlib>

namespace tabard::pipeline {

// Of two times out of order, the one that is further from where it belongs is broken.
bool PictureClock::is_ahead(std::int64_t ticks, std::int64_t next) const
{
    if (ticks <= next)
        return false;
    if (!m_last)
        return true;
    return next > *m_last && ticks - *m_last - m_nominal > std::abs(next - *m_last - 2 * m_nominal);
}

// The place of a picture whose own time is not known, before one that is.
std::int64_t PictureClock::before(std::int64_t next) const
{
    if (!m_last)
        return next - m_nominal;
    return next - *m_last > m_nominal ? *m_last + m_nominal : *m_last + (next - *m_last) / 2;
}

std::int64_t PictureClock::settle(std::optional<std::int64_t> ticks, std::optional<std::int64_t> next)
{
    bool const ahead = ticks && next && is_ahead(*ticks, *next);
    bool const believed = ticks && !ahead && m_watch.add(time_of(*ticks));
    bool const rises = believed && (!m_last || *ticks > *m_last);
    if (!rises && (ticks || m_last))
        ++m_repaired;
    std::int64_t settled = 0;
    if (rises)
        settled = *ticks;
    else if (ahead)
        settled = before(*next);
    else if (m_last)
        settled = *m_last + (believed ? 1 : m_nominal);
    // A clock may be finer than ours: two pictures never share an instant.
    while (m_last && time_of(settled) <= time_of(*m_last))
        ++settled;
    m_last = settled;
    return settled;
}

void PictureClock::jump()
{
    m_last.reset();
    m_watch = ClockWatch{kLongestStill};
}

} // namespace tabard::pipeline
