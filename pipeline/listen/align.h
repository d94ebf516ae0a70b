#pragma once
#include "pipeline/listen/chord_fit.h"
#include "pipeline/listen/expected_music.h"
#include "pipeline/listen/hearing.h"
#include "pipeline/listen/playing.h"
#include "pipeline/listen/transposition.h"

#include <cstdint>
#include <optional>
#include <vector>

namespace tabard::pipeline {

/// One span of the chart as it was heard. Seconds are film time.
struct HeardSpan {
    double seconds = 0;                ///< the start of its first stroke
    std::optional<double> second_best; ///< another instant nearly as likely
    bool early = false;                ///< the chord came half a beat before its beat
    ChordFit chord;                    ///< whether it is the chord on paper
};

struct AlignedPart {
    bool found = false;
    double confidence = 0;        ///< 0 to 1
    std::vector<double> beats;    ///< beats + 1 times; empty where not found
    std::vector<HeardSpan> spans; ///< one a span of the chart; empty where not found
};

struct Alignment {
    std::vector<AlignedPart> parts;
    Transposition transposition; ///< the parts were found in this transposition of the chart
    std::vector<Stretch> stray;  ///< playing outside every part
};

/// Finds when each beat and each chord of a chart sounds in a recording. The parts come in the order in which they are
/// played; one that is not played is reported as not found.
Alignment align(Hearing const& heard, ExpectedMusic const& chart);

} // namespace tabard::pipeline
