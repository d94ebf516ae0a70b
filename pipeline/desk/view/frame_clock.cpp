#include "pipeline/desk/view/frame_clock.h"

#include "overlay/base/precondition.h"
#include "pipeline/render/scene_runs.h"

#include <algorithm>

namespace tabard::pipeline {

FrameClock::FrameClock(MediaFacts facts) : m_facts(facts) {}

FrameClock::FrameClock(std::shared_ptr<std::vector<Time> const> times, Time end) : m_times(std::move(times)), m_end(end)
{
    PRECONDITION(m_times && !m_times->empty());
    m_end = std::max(m_end, m_times->back());
}

std::optional<std::int64_t> FrameClock::count() const
{
    if (m_times)
        return std::ssize(*m_times);
    if (m_facts.duration <= m_facts.first_picture)
        return std::nullopt;
    return frame_at(m_facts.duration - m_facts.first_picture - Time{1}, m_facts.rate) + 1;
}

Time FrameClock::time_of(std::int64_t frame) const
{
    if (!m_times)
        return m_facts.first_picture + from_frame(frame, m_facts.rate);
    if (frame >= std::ssize(*m_times))
        return m_end;
    return (*m_times)[static_cast<std::size_t>(std::max<std::int64_t>(frame, 0))];
}

std::int64_t FrameClock::on_screen_at(Time time) const
{
    if (!m_times)
        return frame_at(time + kOnScreenSlack - m_facts.first_picture, m_facts.rate);
    return std::ranges::upper_bound(*m_times, time + kOnScreenSlack) - m_times->begin() - 1;
}

std::int64_t FrameClock::nearest(Time time) const
{
    std::int64_t const before = on_screen_at(time);
    std::int64_t const last = count().value_or(before + 2) - 1;
    if (before < 0)
        return 0;
    if (before >= last)
        return last;
    return time_of(before + 1) - time < time - time_of(before) ? before + 1 : before;
}

Time plain_time_of(FrameClock const& frames, std::int64_t frame)
{
    Time const exact = frames.time_of(frame);
    if (frame == frames.count())
        return from_ticks(to_ticks(exact, 1, 1000), 1, 1000);
    for (std::int64_t scale = 1000; scale <= 100'000'000; scale *= 10) {
        Time const plain = from_ticks(to_ticks(exact, 1, scale), 1, scale);
        Time const next = frames.time_of(frame + 1);
        bool const on_it =
            frames.on_screen_at(plain) == frame && (next <= exact || next - kOnScreenSlack > plain || plain <= exact);
        if (on_it && plain > exact - kOnScreenSlack)
            return plain;
    }
    return exact;
}

} // namespace tabard::pipeline
