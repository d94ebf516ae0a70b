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
        m_knots.push_back({pin.position.offset(meter), pin.time});
    if (m_knots.size() > 1)
        return;
    PRECONDITION(tempo && tempo->thousandths > 0);
    // A thousand pulses away, so that the rounding of one pulse to whole flicks does not add up over a long section.
    m_knots.push_back({m_knots[0].offset + 1000 * pulse_ticks(meter),
                       m_knots[0].time + from_ticks(60'000 * std::int64_t{1000}, 1, tempo->thousandths)});
}

TempoMap::Knot const* TempoMap::segment_for(std::int64_t offset) const
{
    auto const after = std::ranges::upper_bound(m_knots, offset, {}, &Knot::offset);
    auto const index = std::clamp<std::ptrdiff_t>(after - m_knots.begin() - 1, 0, std::ssize(m_knots) - 2);
    return &m_knots[static_cast<std::size_t>(index)];
}

Time TempoMap::time_at(std::int64_t offset) const
{
    Knot const* knot = segment_for(offset);
    return Time{along(knot[0].time.count(), (knot[1].time - knot[0].time).count(), offset - knot[0].offset,
                      knot[1].offset - knot[0].offset)};
}

std::int64_t TempoMap::offset_at(Time time) const
{
    constexpr std::int64_t kFarthest = std::int64_t{1} << 45;
    std::int64_t before = -kFarthest;
    std::int64_t after = kFarthest;
    while (after - before > 1) {
        std::int64_t const middle = before + (after - before) / 2;
        (time_at(middle) <= time ? before : after) = middle;
    }
    return before;
}

Tempo TempoMap::tempo_at(std::int64_t offset) const
{
    Knot const* knot = segment_for(offset);
    Wide const numerator = Wide{knot[1].offset - knot[0].offset} * 60'000 * kFlicksPerSecond;
    Wide const denominator = Wide{pulse_ticks(m_meter)} * (knot[1].time - knot[0].time).count();
    // Pins that nobody would set may ask for any tempo; it stays positive and in range.
    constexpr Wide kFastest = 1'000'000'000'000;
    return {static_cast<std::int64_t>(std::clamp<Wide>((numerator + denominator / 2) / denominator, 1, kFastest))};
}

std::optional<TempoMap> tempo_map(Section const& section)
{
    if (!section.bars)
        return std::nullopt;
    std::optional<Tempo> const tempo = section.tempo ? std::optional{section.tempo->value} : std::nullopt;
    std::vector<Pin> pins = section.pins;
    if (pins.empty() && section.from)
        pins.push_back(
            {section.piece ? section.piece->from_bar : BarPosition{}, section.from->value, section.from->at});
    if (pins.empty() || (pins.size() == 1 && !tempo))
        return std::nullopt;
    return TempoMap{*section.meter, std::move(pins), tempo};
}

} // namespace tabard::pipeline
