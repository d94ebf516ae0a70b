#include "pipeline/timeline/ribbon_bars.h"

#include "overlay/drawing/bar_fit.h"
#include "overlay/music/names/chord_name.h"

#include <algorithm>

namespace tabard::pipeline {

std::vector<overlay::RibbonChord> ribbon_chords(WrittenBar const& bar, overlay::NoteNames names)
{
    std::vector<overlay::RibbonChord> chords;
    for (ChartChord const& chord : bar.chords)
        chords.push_back({overlay::label_of(chord.name.empty() ? "N.C." : chord.name, names), chord.beats});
    return chords;
}

int bar_crowding(Chart const& chart)
{
    int most = 0;
    for (WrittenBar const& bar : chart.written)
        most = std::max(most, overlay::bar_crowding(ribbon_chords(bar, chart.names)));
    return most;
}

} // namespace tabard::pipeline
