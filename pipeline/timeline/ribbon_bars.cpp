#include "pipeline/timeline/ribbon_bars.h"

#include "overlay/drawing/bar_fit.h"
#include "overlay/music/names/chord_name.h"

#include <algorithm>

namespace tabard::pipeline {

overlay::ChordLabel shown_label(std::string const& name) { return overlay::label_of(name.empty() ? "N.C." : name); }

std::vector<overlay::RibbonChord> ribbon_chords(WrittenBar const& bar)
{
    std::vector<overlay::RibbonChord> chords;
    for (ChartChord const& chord : bar.chords)
        chords.push_back({shown_label(chord.name), chord.beats});
    return chords;
}

int bar_crowding(Chart const& chart)
{
    int most = 0;
    for (WrittenBar const& bar : chart.written)
        most = std::max(most, overlay::bar_crowding(ribbon_chords(bar)));
    return most;
}

} // namespace tabard::pipeline
