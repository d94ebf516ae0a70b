#include "pipeline/timeline/tempo_map.h"

#include "overlay/base/precondition.h"
#include "pipeline/cues/meter_ticks.h"

#include <algorithm>

namespace tabard::pipeline {
namespace {

__extension__ using Wide = __int128;

/// base + step * part / whole, to the nearest unit, halves up. Lines that lead out of all sense end at 2^61.
std::int64_t along(std::int64_t base, std::int64_t step, std::int64_t part, std::int64_t whole)
{
    constexpr Wide kFarthest = Wide{1} << 61;
    Wide const scaled = 2 * Wide{step} * part + whole;
    Wide const divisor = 2 * Wide{whole};
    Wide const floor = scaled >= 0 ? scaled / divisor : -((-scaled + divisor - 1) / divisor);
    return static_cast<std::int64_t>(std::clamp(base + floor, -kFarthest, kFarthest));
}

} // namespace

TempoMap::TempoMap(overlay::Meter meter, std::vector<Pin> pins, std::optional<Tempo> tempo) : m_meter(meter)
{
    PRECONDITION(!pins.empty());
    for (Pin const& pin : pins)
        m_stops.push_back({pin.position.offset(meter), pin.time, pin.next_position().offset(meter), pin.next_time()});
    for (Stop const& stop : m_stops) {
        Stop const* const before = m_played.empty() ? nullptr : &m_stops[m_played.size() - 1];
        m_played.push_back(before ? m_played.back() + (stop.place - before->next_place) : stop.place);
    }
    if (m_stops.size() > 1)
        return;
    PRECONDITION(tempo && tempo->thousandths > 0);
    // A thousand pulses away, so that the rounding of one pulse to whole flicks does not add up over a long section.
    m_by_tempo = {1000 * pulse_ticks(meter), from_ticks(60'000 * std::int64_t{1000}, 1, tempo->thousandths)};
}

std::size_t TempoMap::stops_reached(std::int64_t offset) const
{
    return static_cast<std::size_t>(std::ranges::upper_bound(m_stops, offset, {}, &Stop::place) - m_stops.begin());
}

TempoMap::Line TempoMap::line_after(std::size_t reached) const
{
    if (m_stops.size() == 1)
        return m_by_tempo;
    std::size_t const from = std::min(std::max<std::size_t>(reached, 1) - 1, m_stops.size() - 2);
    return {m_stops[from + 1].place - m_stops[from].next_place, m_stops[from + 1].time - m_stops[from].next_time};
}

Time TempoMap::time_on_line(std::size_t reached, std::int64_t offset) const
{
    Line const line = line_after(reached);
    Stop const& stop = m_stops[std::max<std::size_t>(reached, 1) - 1];
    std::int64_t const place = reached == 0 ? stop.place : stop.next_place;
    Time const time = reached == 0 ? stop.time : stop.next_time;
    return Time{along(time.count(), line.time.count(), offset - place, line.ticks)};
}

Time TempoMap::time_at(std::int64_t offset) const
{
    std::size_t const reached = stops_reached(offset);
    return time_on_line(reached, reached == 0 ? offset : std::max(offset, m_stops[reached - 1].next_place));
}

Time TempoMap::end_at(std::int64_t offset) const
{
    std::size_t const reached = stops_reached(offset);
    bool const stands = reached > 0 && offset <= m_stops[reached - 1].next_place;
    return stands ? m_stops[reached - 1].time : time_on_line(reached, offset);
}

bool TempoMap::skips(std::int64_t offset) const
{
    std::size_t const reached = stops_reached(offset);
    return reached > 0 && offset < m_stops[reached - 1].next_place;
}

std::int64_t TempoMap::offset_at(Time time) const
{
    constexpr std::int64_t kFarthest = std::int64_t{1} << 45;
    auto const reached =
        static_cast<std::size_t>(std::ranges::upper_bound(m_stops, time, {}, &Stop::time) - m_stops.begin());
    if (reached > 0 && time < m_stops[reached - 1].next_time)
        return m_stops[reached - 1].next_place;
    std::int64_t before = reached == 0 ? -kFarthest : m_stops[reached - 1].next_place;
    std::int64_t after = reached == m_stops.size() ? kFarthest : m_stops[reached].place;
    while (after - before > 1) {
        std::int64_t const middle = before + (after - before) / 2;
        (time_on_line(reached, middle) <= time ? before : after) = middle;
    }
    return before;
}

std::int64_t TempoMap::played_before(std::int64_t offset) const
{
    std::size_t const reached = stops_reached(offset);
    if (reached == 0)
        return m_played.front() - (m_stops.front().place - offset);
    return m_played[reached - 1] + std::max<std::int64_t>(offset - m_stops[reached - 1].next_place, 0);
}

std::int64_t TempoMap::played_ticks(std::int64_t from, std::int64_t to) const
{
    return played_before(to) - played_before(from);
}

std::int64_t TempoMap::place_before(std::int64_t offset, std::int64_t ticks) const
{
    std::int64_t const played = played_before(offset) - ticks;
    auto const reached = std::ranges::upper_bound(m_played, played) - m_played.begin();
    if (reached == 0)
        return m_stops.front().place - (m_played.front() - played);
    auto const stop = static_cast<std::size_t>(reached) - 1;
    return m_stops[stop].next_place + (played - m_played[stop]);
}

Tempo TempoMap::tempo_at(std::int64_t offset) const
{
    Line const line = line_after(stops_reached(offset));
    Wide const numerator = Wide{line.ticks} * 60'000 * kFlicksPerSecond;
    Wide const denominator = Wide{pulse_ticks(m_meter)} * line.time.count();
    // Pins that nobody would set may ask for any tempo; it stays positive and in range.
    constexpr Wide kFastest = 1'000'000'000'000;
    return {static_cast<std::int64_t>(std::clamp<Wide>((numerator + denominator / 2) / denominator, 1, kFastest))};
}

namespace {

/// Where nothing else says how fast they are, bars last as long as their part.
std::optional<Pin> pin_of_end(Section const& section, Pin const& only)
{
    BarPosition const end{section.bars->value.bars() + 1, 1, 0};
    bool const is_whole = section.to && !section.piece;
    if (!is_whole || **section.to <= only.next_time() || end <= only.next_position())
        return std::nullopt;
    return Pin{end, **section.to, section.to->at};
}

} // namespace

std::optional<TempoMap> tempo_map(Section const& section)
{
    if (!section.bars)
        return std::nullopt;
    std::optional<Tempo> const tempo = section.tempo ? std::optional{section.tempo->value} : std::nullopt;
    std::vector<Pin> pins = section.pins;
    if (pins.empty() && section.from)
        pins.push_back(
            {section.piece ? section.piece->from_bar : BarPosition{}, section.from->value, section.from->at});
    if (pins.size() == 1 && !tempo)
        if (auto const end = pin_of_end(section, pins.front()))
            pins.push_back(*end);
    if (pins.empty() || (pins.size() == 1 && !tempo))
        return std::nullopt;
    return TempoMap{*section.meter, std::move(pins), tempo};
}

} // namespace tabard::pipeline
