#include "pipeline/desk/music/tap_targets.h"

#include "pipeline/cues/meter_ticks.h"

#include <algorithm>
#include <string>
#include <utility>

namespace tabard::pipeline {
namespace {

/// Where each chord of the bars begins, as they are played.
std::vector<std::pair<std::int64_t, std::string const*>> chords_of(Chart const& chart)
{
    std::vector<std::pair<std::int64_t, std::string const*>> chords;
    std::int64_t ticks = 0;
    for (int bar = 1; bar <= chart.bars(); ++bar)
        for (ChartChord const& chord : chart.bar(bar).chords) {
            chords.emplace_back(ticks, &chord.name);
            ticks += chord.beats * kTicksPerBeat;
        }
    return chords;
}

class Collector {
public:
    explicit Collector(Section const& section)
        : m_meter((*section.bars)->meter),
          m_chords(chords_of(**section.bars)),
          m_first(section.piece ? section.piece->from_bar.offset(m_meter) : 0),
          m_end(std::int64_t{(*section.bars)->bars()} * bar_ticks(m_meter))
    {
    }

    /// Another chord than before begins there.
    void add_changes()
    {
        for (std::size_t n = 0; n < m_chords.size(); ++n)
            if (n == 0 || *m_chords[n].second != *m_chords[n - 1].second)
                add(m_chords[n].first, m_chords[n].second->empty());
    }

    void add(std::int64_t ticks, bool optional = false)
    {
        bool const counted = ticks < 0;
        if ((!counted && ticks < m_first) || ticks > m_end)
            return;
        m_result.targets.push_back({static_cast<double>(ticks) / static_cast<double>(pulse_ticks(m_meter)), optional});
        m_result.ticks.push_back(ticks);
        m_result.chords.push_back(ticks < m_end ? chord_at(ticks) : "");
        m_result.counted_in += counted ? 1 : 0;
    }

    TapTargets take()
    {
        add(m_end, true);
        return std::move(m_result);
    }

private:
    std::string chord_at(std::int64_t ticks) const
    {
        auto const after = std::ranges::upper_bound(m_chords, ticks, {}, [](auto const& chord) { return chord.first; });
        return after == m_chords.begin() ? "" : *std::prev(after)->second;
    }

    overlay::Meter m_meter;
    std::vector<std::pair<std::int64_t, std::string const*>> m_chords;
    std::int64_t m_first;
    std::int64_t m_end;
    TapTargets m_result;
};

} // namespace

TapTargets change_targets(Section const& section, int counted_in)
{
    Collector collector(section);
    for (int pulse = -counted_in; pulse < 0; ++pulse)
        collector.add(pulse * pulse_ticks((*section.bars)->meter));
    collector.add_changes();
    return collector.take();
}

TapTargets beat_targets(Section const& section, int counted_in)
{
    Chart const& chart = **section.bars;
    Collector collector(section);
    for (int pulse = -counted_in; pulse < chart.bars() * chart.meter.pulses(); ++pulse)
        collector.add(pulse * pulse_ticks(chart.meter));
    return collector.take();
}

TapTargets group_targets(Section const& section)
{
    Chart const& chart = **section.bars;
    if (chart.meter.pulse_groups() == 0)
        return {};
    Collector collector(section);
    for (int beat = 0; beat < chart.bars() * chart.meter.beats; ++beat)
        if (chart.meter.begins_group(beat % chart.meter.beats))
            collector.add(beat * kTicksPerBeat);
    TapTargets result = collector.take();
    result.groups = true;
    return result;
}

} // namespace tabard::pipeline
