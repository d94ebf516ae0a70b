#pragma once
#include "tests/support/performance/dice.h"
#include "tests/support/performance/invented_chords.h"
#include "tests/support/performance/manner.h"
#include "tests/support/performance/strokes.h"

#include <string>
#include <vector>

namespace tabard::tests {

/// What the author writes of one part, and what the player makes of it.
struct WrittenPart {
    pipeline::ExpectedPart chart;
    std::string bars;            ///< the chart as a cue file has it
    std::string strum;           ///< the pattern as a cue file has it; empty: not written
    std::vector<int> shapes;     ///< a span
    std::vector<Stroke> strokes; ///< of a bar; none where the player makes up the strums
};

/// A chart of the shapes of a family: mostly a chord a bar, some bars of two, some that hold the chord.
WrittenPart write_part(Manner const& manner, ChordFamily const& family, Dice& dice);

/// A shape that shares at most one tone with `shape`.
int wrong_shape_for(int shape, Dice& dice);

} // namespace tabard::tests
