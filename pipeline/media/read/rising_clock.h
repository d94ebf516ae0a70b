#pragma once
#include "pipeline/media/read/clock_watch.h"

#include <cstdint>
#include <optional>

namespace tabard::pipeline {

/// Makes the times of a stream rise: of decoded pictures in the order in which they are shown, or of packets of sound.
/// A time is seen with the one after it, which tells a broken stamp far ahead from all the right ones that come back
/// behind it. Ticks are on the clock of the stream.
class RisingClock {
public:
    /// A tick is num / den seconds.
    RisingClock(int num, int den) : m_num(num), m_den(den) {}

    /// When a picture or packet begins whose file says `ticks`, if it says a time; `next` is the same of the one after
    /// it. `length`: ticks from it to the next where nothing says otherwise, at least 1.
    std::int64_t settle(std::optional<std::int64_t> ticks, std::optional<std::int64_t> next, std::int64_t length);

    /// Whether `ticks` leaves a gap, so that the time after it is needed to believe it.
    bool leaves_gap(std::int64_t ticks) const;

    std::int64_t repaired() const { return m_repaired; } ///< times that were missing, or not in their order
    /// Where several in a row go back: that is another clock.
    std::optional<ClockWatch::Restart> restart() const { return m_watch.restart(); }
    /// Reading goes on somewhere else.
    void jump();

private:
    Time time_of(std::int64_t ticks) const { return from_ticks(ticks, m_num, m_den); }
    bool is_ahead(std::int64_t ticks, std::int64_t next, std::int64_t length) const;
    std::int64_t before(std::int64_t next, std::int64_t length) const;

    int m_num;
    int m_den;
    std::optional<std::int64_t> m_last;
    std::int64_t m_expected = 0; ///< when the last one is over
    std::int64_t m_repaired = 0;
    ClockWatch m_watch{kLongestStill};
};

} // namespace tabard::pipeline
