#include "pipeline/media/read/clock_watch.h"

#include "pipeline/time/timecode.h"

#include <algorithm>

#include <fmt/format.h>

namespace tabard::pipeline {
namespace {

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

Error clock_restarted(ClockWatch::Restart restart, std::filesystem::path const& film)
{
    Time const to = std::max(Time{0}, restart.to); // decoding begins a little before 0
    return {ErrorKind::decode,
            fmt::format("{}: the film's clock jumps from {} to {}, as where two recordings were put one behind the "
                        "other; save it again as one MP4, and name that",
                        film.string(), print_time(restart.from, 1), print_time(to, 1))};
}

} // namespace tabard::pipeline
