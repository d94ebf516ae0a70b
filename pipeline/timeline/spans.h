#pragma once
#include "overlay/music/hand/movement.h"
#include "pipeline/timeline/timeline.h"

#include <map>
#include <string>
#include <vector>

namespace tabard::pipeline {

/// A chord of a chart in time, and between which places of the chart it lies.
struct PlayedChord {
    std::size_t chord = 0;   ///< index into Spans::chords
    std::size_t section = 0; ///< index into Spans::sections
    std::int64_t from = 0;   ///< ticks since bar 1
    std::int64_t to = 0;
};

/// A lesson's cues as stretches of time.
struct Spans {
    std::vector<SectionSpan> sections;
    std::vector<ChordSpan> chords;
    std::vector<PlayedChord> played; ///< by section, as it is played
    std::vector<StrumSpan> strums;
    std::vector<TextSpan> texts;
    std::vector<std::vector<overlay::Hold>> anchors; ///< by section: fingers that stay through all chords of its chart
};
Spans resolve_spans(Lesson const& lesson, MediaFacts const& facts, Level level);

} // namespace tabard::pipeline
