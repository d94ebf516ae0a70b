#pragma once
#include "pipeline/listen/expected_music.h"
#include "pipeline/listen/hearing.h"

#include <cstdint>
#include <optional>
#include <vector>

namespace tabard::pipeline {

/// Whether what sounds is the chord on paper. An added seventh or another bass mostly cannot be told from the sound.
enum class Fit { fits, cannot_tell, differs };

/// One span of the chart as it was heard. Seconds are film time.
struct HeardSpan {
    double seconds = 0;                ///< the start of its first stroke
    std::optional<double> second_best; ///< another instant nearly as likely
    bool early = false;                ///< the chord came half a beat before its beat
    Fit fit = Fit::fits;
    HeardChord sounds_like; ///< the plain triad that fits best, for Fit::differs
};

struct AlignedPart {
    bool found = false;
    double confidence = 0;        ///< 0 to 1
    std::vector<double> beats;    ///< beats + 1 times; empty where not found
    std::vector<HeardSpan> spans; ///< one a span of the chart; empty where not found
};

/// Sound of a guitar outside every part of the chart.
struct Stretch {
    double from = 0;
    double to = 0;
};

struct Alignment {
    std::vector<AlignedPart> parts;
    int transposition = 0;         ///< semitones by which everything sounds above the chart, -5 to 6
    double transposition_gain = 0; ///< how much better that fits than the chart as written, likeness (0 to 1)
    std::vector<Stretch> stray;
};

/// Finds when each beat and each chord of a chart sounds in a recording. The parts come in the order in which they are
/// played; one that is not played is reported as not found.
Alignment align(Hearing const& heard, ExpectedMusic const& chart);

} // namespace tabard::pipeline
