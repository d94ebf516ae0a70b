#pragma once
#include "pipeline/cues/lesson.h"

#include <vector>

namespace tabard::pipeline {

/// Where each place of a chart lies in the film: straight lines between pins; before the first and after the last pin
/// the line beside it goes on. A single pin goes by the tempo.
class TempoMap {
public:
    /// Pins rise in place and time (the reader sees to it); one at least, and a tempo where there is only one.
    TempoMap(overlay::Meter meter, std::vector<Pin> pins, std::optional<Tempo> tempo);

    /// The instant `offset` ticks (see BarPosition::offset) after the first beat of bar 1; to the nearest flick.
    Time time_at(std::int64_t offset) const;
    Time time_at(BarPosition position) const { return time_at(position.offset(m_meter)); }
    /// The last place whose time is not after `time`.
    std::int64_t offset_at(Time time) const;
    /// The tempo at a place, rounded to a thousandth.
    Tempo tempo_at(std::int64_t offset) const;
    overlay::Meter meter() const { return m_meter; }

private:
    struct Knot {
        std::int64_t offset;
        Time time;
    };
    Knot const* segment_for(std::int64_t offset) const;
    overlay::Meter m_meter;
    std::vector<Knot> m_knots; ///< two at least
};

/// The map of a played section: its pins, else bar 1 (or a piece's own start) at its `from` with its tempo.
/// None where the section has no bars or the file does not say when they are played.
std::optional<TempoMap> tempo_map(Section const& section);

} // namespace tabard::pipeline
