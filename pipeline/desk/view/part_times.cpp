#include "pipeline/desk/view/part_times.h"

#include "pipeline/cues/meter_ticks.h"
#include "pipeline/timeline/resting.h"

#include <algorithm>

namespace tabard::pipeline {

std::int64_t first_tick(Section const& section)
{
    return section.piece ? section.piece->from_bar.offset(*section.meter) : 0;
}

PartTimes part_times(Section const& section)
{
    PartTimes times;
    if (section.to)
        times.to = **section.to;
    if (auto const map = tempo_map(section)) {
        times.bars_from = shown_at(*map, first_tick(section));
        times.bars_to = map->end_at((*section.bars)->bars() * bar_ticks(*section.meter));
    }
    times.from = section.from ? std::optional(**section.from) : times.bars_from;
    for (ShowCue const& cue : section.show) {
        times.first_cue = times.first_cue ? std::min(*times.first_cue, *cue.from) : *cue.from;
        Time const end = cue.to ? **cue.to : *cue.from;
        times.last_cue = times.last_cue ? std::max(*times.last_cue, end) : end;
    }
    return times;
}

} // namespace tabard::pipeline
