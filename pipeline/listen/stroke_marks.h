#pragma once
#include "pipeline/listen/expected_music.h"

#include <vector>

namespace tabard::pipeline {

/// What a strum pattern lets one expect inside a beat.
struct StrokeMark {
    double share = 0;  ///< of the beat, between 0 and 1
    double weight = 0; ///< of the stroke; below 0: the hand passes in silence
};

/// One beat of a strum pattern.
struct BeatMarks {
    bool known = false;             ///< otherwise there is no pattern
    double weight = 0;              ///< of the stroke on the beat; 0: the hand passes
    double rings_after = 0;         ///< beats until the first stroke that rings
    double full_after = 0;          ///< beats until the first that rings over all strings
    std::vector<StrokeMark> inside; ///< rising
};

/// The beats of a part's strum pattern. A part without one has a single beat of which nothing is known.
std::vector<BeatMarks> stroke_marks(ExpectedStrokes const& strokes);

/// Which of them a beat of the part is.
BeatMarks const& marks_of(std::vector<BeatMarks> const& marks, ExpectedPart const& part, int beat);

} // namespace tabard::pipeline
