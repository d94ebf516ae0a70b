#pragma once
#include "pipeline/listen/align.h"
#include "tests/support/performance/manner.h"

#include <random>
#include <vector>

namespace tabard::tests {

/// Where the playing of a part leaves its chart: before beat `at` it waits, plays `extra_beats` that the chart does not
/// have, and goes on with beat `go_on_with`.
struct Turn {
    int at = 0;
    int go_on_with = 0;
    double wait = 0; ///< seconds
    int extra_beats = 0;
    bool stopped = true;  ///< the strings do not ring while it waits
    bool talk = false;    ///< somebody talks while it waits
    bool mistake = false; ///< one stroke of a wrong chord comes before the wait
};

/// The turns of one part, rising: each is at a later beat than the one before it goes on with.
std::vector<Turn> turns_of(Departure departure, int beats, int beats_per_bar, std::mt19937& random);

/// Beats that are played in time, one after the other.
struct Stretched {
    int first_beat = 0;
    bool extra = false;        ///< not of the chart: its beats count from 0
    std::vector<double> times; ///< beats + 1, seconds
    int beats() const { return static_cast<int>(times.size()) - 1; }
};

/// When each beat of a chart begins in the last complete pass through it (a skipped beat: when the next one does), and
/// the end. `stretches` are one behind the other in time.
std::vector<double> last_beats(std::vector<Stretched> const& stretches, int beats);

/// The truth about where `stretches` leave the chart.
std::vector<pipeline::Deviation> deviations_of(std::vector<Stretched> const& stretches);

} // namespace tabard::tests
