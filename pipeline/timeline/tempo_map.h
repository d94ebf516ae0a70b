#pragma once
#include "pipeline/cues/lesson.h"

#include <cstddef>
#include <vector>

namespace tabard::pipeline {

/// Where each place of a chart lies in the film: straight lines between pins; before the first and after the last pin
/// the line beside it goes on. A single pin goes by the tempo. At a pin with a pause the chart stands still, at one
/// with a skip places pass without being played; no line runs through either.
class TempoMap {
public:
    /// A pin: the playing reaches `place` at `time` and goes on with `next_place` at `next_time`. Mostly they are the
    /// same.
    struct Stop {
        std::int64_t place = 0; ///< ticks after the first beat of bar 1, see BarPosition::offset
        Time time{0};
        std::int64_t next_place = 0;
        Time next_time{0};
        bool pauses() const { return time < next_time; }
        bool skips() const { return place < next_place; }
    };

    /// Pins rise in place and time (the reader sees to it); one at least, and a tempo where there is only one.
    TempoMap(overlay::Meter meter, std::vector<Pin> pins, std::optional<Tempo> tempo);

    /// When what begins at a place is played, to the nearest flick. At a pause that is when the playing goes on; a
    /// place that is skipped has the time of the one that is played instead.
    Time time_at(std::int64_t offset) const;
    Time time_at(BarPosition position) const { return time_at(position.offset(m_meter)); }
    /// When what is played up to a place ends: as time_at(), but where the chart stands still when it begins to. Up to
    /// a place that is skipped, that is where the skip begins. [time_at(a), end_at(b)) is when the stretch from `a` to
    /// `b` is played, with the pauses inside it; empty (or less) where all of it is skipped.
    Time end_at(std::int64_t offset) const;
    Time end_at(BarPosition position) const { return end_at(position.offset(m_meter)); }
    /// Whether what begins at a place is skipped.
    bool skips(std::int64_t offset) const;
    /// The last place whose time is not after `time`; during a pause the place that the playing goes on with.
    std::int64_t offset_at(Time time) const;
    /// The place that is played `ticks` (more than none) before `offset` is reached; what is skipped does not count.
    std::int64_t place_before(std::int64_t offset, std::int64_t ticks) const;
    /// How much of [from, to) is played, in ticks: all but what is skipped.
    std::int64_t played_ticks(std::int64_t from, std::int64_t to) const;
    /// The tempo at a place, rounded to a thousandth: of what is played from there on.
    Tempo tempo_at(std::int64_t offset) const;
    /// All pins, rising in place and time.
    std::vector<Stop> const& stops() const { return m_stops; }
    overlay::Meter meter() const { return m_meter; }

private:
    /// A straight line through two places.
    struct Line {
        std::int64_t ticks;
        Time time;
    };
    /// How much is played up to a place, in ticks, from some place before all stops on.
    std::int64_t played_before(std::int64_t offset) const;
    /// Number of stops whose place is not after `offset`.
    std::size_t stops_reached(std::int64_t offset) const;
    /// The slope of what is played after the `reached`th stop (0: before the first one).
    Line line_after(std::size_t reached) const;
    Time time_on_line(std::size_t reached, std::int64_t offset) const;
    overlay::Meter m_meter;
    std::vector<Stop> m_stops;
    std::vector<std::int64_t> m_played; ///< by stop: played_before() its place
    Line m_by_tempo{};                  ///< where there is one stop
};

/// The map of a played section: its pins, else bar 1 (or a piece's own start) at its `from` with its tempo; without a
/// tempo its bars end with it, at its `to`. None where the section has no bars or the file does not say when they are
/// played.
std::optional<TempoMap> tempo_map(Section const& section);

} // namespace tabard::pipeline
