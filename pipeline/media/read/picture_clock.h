#pragma once
#include "pipeline/media/read/clock_watch.h"

#include <cstdint>
#include <optional>

namespace tabard::pipeline {

/// Makes the times of decoded pictures rise, in the order in which they are shown. A time is seen with the one after
/// it, which tells a broken stamp far ahead from all the right ones that come back behind it. Ticks are on the clock of
/// the stream, from film time 0.
class PictureClock {
public:
    /// A tick is num / den seconds. `nominal`: ticks from a picture to the next where nothing says otherwise, at
    /// least 1.
    PictureClock(int num, int den, std::int64_t nominal) : m_num(num), m_den(den), m_nominal(nominal) {}

    /// When the picture is shown whose file says `ticks`, if it says a time; `next` is the same of the one after it.
    std::int64_t settle(std::optional<std::int64_t> ticks, std::optional<std::int64_t> next);

    std::int64_t repaired() const { return m_repaired; } ///< times that were missing, or not in their order
    /// Where several pictures in a row go back: that is another clock, and no time after it can be believed.
    std::optional<ClockWatch::Restart> restart() const { return m_watch.restart(); }
    /// Reading goes on somewhere else.
    void jump();

private:
    Time time_of(std::int64_t ticks) const { return from_ticks(ticks, m_num, m_den); }
    bool is_ahead(std::int64_t ticks, std::int64_t next) const;
    std::int64_t before(std::int64_t next) const;

    int m_num;
    int m_den;
    std::int64_t m_nominal;
    std::optional<std::int64_t> m_last;
    std::int64_t m_repaired = 0;
    ClockWatch m_watch{kLongestStill};
};

} // namespace tabard::pipeline
