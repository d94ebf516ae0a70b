#pragma once
#include "pipeline/listen/align.h"
#include "pipeline/listen/expected_music.h"
#include "tests/support/performance/manner.h"
#include "tests/support/performance/note_bank.h"

#include <cmath>
#include <cstdint>
#include <string>
#include <vector>

namespace tabard::tests {

/// One string sounding. Without a level it is stopped.
struct Strike {
    double seconds = 0;
    int string = 0;
    int midi = 0;
    float level = 1;
    double rings = 10; ///< seconds until the hand stops it; a string that is struck again stops too
};

/// One complete time that a part was played, by the chart's beats and spans.
struct Pass {
    std::vector<double> beats;       ///< beats + 1 times, seconds; skipped beats have the time of the next
    std::vector<double> span_starts; ///< first string of each span's first stroke; not a number where it was skipped
};

/// The truth about one part: its last complete time.
struct PlayedPart {
    std::vector<double> beats;       ///< as Pass; empty where the part was not played
    std::vector<double> span_starts; ///< as Pass
    std::vector<bool> pushed;        ///< a span
    std::vector<bool> passed;        ///< a span: no stroke falls on its beat, so either beat or stroke is right
    std::vector<int> wrong;          ///< spans on which another chord was played
    std::vector<pipeline::Deviation> deviations;
    std::vector<Pass> earlier; ///< where the whole part was played before

    bool played() const { return !beats.empty(); }
    bool sounded(std::size_t span) const { return span < span_starts.size() && !std::isnan(span_starts[span]); }
};

struct Performance {
    pipeline::ExpectedMusic chart;   ///< what the author wrote, in the order of the file
    std::vector<std::string> bars;   ///< the same as a cue file has it, a part
    std::vector<std::string> strums; ///< the pattern as a cue file has it, a part; empty: not written
    std::string meter = "4/4";
    double swing = 0.5;                  ///< of the strums
    std::vector<PlayedPart> parts;       ///< a part of the chart
    std::vector<Strike> strikes;         ///< rising in time
    std::vector<pipeline::Stretch> talk; ///< pauses in which somebody talks
    double seconds = 0;
};

/// Builds a player's performance of an invented song; the same seed gives the same one.
Performance build_performance(Manner const& manner, std::uint32_t seed);

/// The sound of it at kSampleRate. A string stops when it is struck again. `cents` detunes the instrument.
std::vector<float> play(Performance const& performance, NoteBank& bank, double cents = 0);

} // namespace tabard::tests
