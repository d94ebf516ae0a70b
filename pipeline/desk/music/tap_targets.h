#pragma once
#include "pipeline/cues/lesson.h"
#include "pipeline/desk/music/tap_match.h"

#include <cstdint>
#include <string>
#include <vector>

namespace tabard::pipeline {

enum class TapEach { change, beat };

/// Where a part is to be tapped, in the order in which it is played.
struct TapTargets {
    std::vector<TapTarget> targets;  ///< the last one is the end of the bars
    std::vector<std::int64_t> ticks; ///< of each, as BarPosition::offset
    std::vector<std::string> chords; ///< that sounds at each; empty: N.C., or the end
    int counted_in = 0;              ///< the first so many are pulses before bar 1
    bool groups = false;             ///< groups of the bar, not each beat
};

/// The changes of the chart with its repeats: where another chord begins; after so many pulses that are counted in.
TapTargets change_targets(Section const& section, int counted_in = 0);
/// Each tempo pulse of the bars (two a bar in 6/8), after so many that are counted in.
TapTargets beat_targets(Section const& section, int counted_in);
/// Each group of the bars (two a bar in 3+2/4); empty where all beats of its meter weigh alike.
TapTargets group_targets(Section const& section);

} // namespace tabard::pipeline
