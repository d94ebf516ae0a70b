#pragma once
#include "pipeline/listen/part_reading.h"

#include <vector>

namespace tabard::pipeline {

/// What the sound says of the cues of a lesson.
struct CueReading {
    int semitones = 0; ///< by which everything sounds above the chart
    double common = 0; ///< seconds by which every part is played after its cues; parts are judged with it taken off
    std::vector<PartReading> parts;
};

/// Reads how finished cues agree with the sound, by another way than the one that finds them: it knows no tempo and
/// leans to no place. Every cue may lie up to 1 1/4 beats away, where a stroke begins and the chord of the chart takes
/// the place of the one before it; neighbours may differ at a cost, so what they have in common is found where one
/// alone would say nothing. What is said to be off is so clearly; but where all cues of a part, or of all parts, may be
/// off by what most of them clearly are, they are.
CueReading read_cues(Hearing const& heard, std::vector<CuedPart> const& parts, CueWindow const& window = {});

} // namespace tabard::pipeline
