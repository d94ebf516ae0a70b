#pragma once
#include "pipeline/listen/expected_music.h"
#include "tests/support/performance/note_bank.h"

#include <cstdint>
#include <random>
#include <string>
#include <vector>

namespace tabard::tests {

/// One string sounding.
struct Strike {
    double seconds = 0;
    int string = 0;
    int midi = 0;
    float level = 1;
};

/// What a built player plays and how well.
struct Manner {
    int parts = 4;
    int bars_per_part = 8;
    int charts = 0; ///< different charts: later parts play them again in turn; 0 is one a part
    int beats_per_bar = 4;
    double spread_low = 0.010; ///< seconds from the first string of a strum to its last
    double spread_high = 0.040;
    double jitter = 0.008;     ///< standard deviation of a stroke against the beat, seconds
    double drift = 0.02;       ///< how far the tempo wanders, as a ratio
    double push = 0;           ///< share of the changes that come half a beat early
    double wrong = 0;          ///< share of the spans on which another chord is played
    double open_strings = 0;   ///< share of the changes with open strings struck while the hand moves
    double missed = 0;         ///< share of strokes that do not sound
    bool picked = false;       ///< finger-picked instead of strummed
    double gap = 4;            ///< seconds between parts
    bool noodle = false;       ///< single notes in the gaps
    int capo = 0;              ///< frets between the chart and the sound that the chart does not know of
    double about_error = 2;    ///< the author's place for a part is off by up to this many seconds
    double tempo_error = 0.06; ///< and the tempo by this ratio
};

/// The truth about one part.
struct PlayedPart {
    std::vector<double> beats;       ///< beats + 1 times, seconds
    std::vector<double> span_starts; ///< first string of each span's first stroke
    std::vector<bool> pushed;        ///< a span
    std::vector<int> wrong;          ///< spans on which another chord was played
};

struct Performance {
    pipeline::ExpectedMusic chart; ///< what the author wrote
    std::vector<std::string> bars; ///< the same as a cue file has it, a part
    std::vector<PlayedPart> parts;
    std::vector<Strike> strikes; ///< rising in time
    double seconds = 0;
};

/// Builds a player's performance of an invented song; the same seed gives the same one.
Performance build_performance(Manner const& manner, std::uint32_t seed);

/// The sound of it at kSampleRate. A string stops when it is struck again. `cents` detunes the instrument.
std::vector<float> play(Performance const& performance, NoteBank& bank, double cents = 0);

} // namespace tabard::tests
