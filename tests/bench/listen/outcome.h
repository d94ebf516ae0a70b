#pragma once
#include "pipeline/listen/hearing.h"
#include "pipeline/listen/part_signs.h"
#include "tests/bench/listen/take_cache.h"

#include <string>
#include <vector>

namespace tabard::tests {

/// What listening made of one part, beside the truth.
struct SectionOutcome {
    std::string name; ///< of the kind, the guitar, the song and the part
    bool played = true;
    bool found = false;
    bool trusted = false; ///< sure enough to write its pins
    std::string doubt;
    pipeline::PartSigns signs;
    double confidence = 0;
    std::vector<double> errors; ///< seconds, one a change that is watched; very large where it was not found
    int pins = 0;
    int deviations = 0; ///< that the player made
    int deviations_right = 0;
    int deviations_false = 0;   ///< that were reported as sure and not made
    int deviations_perhaps = 0; ///< that were reported with "perhaps" and not made
    std::vector<std::string> deviations_made;
    std::vector<std::string> deviations_heard;
    std::vector<double> beats;        ///< heard
    std::vector<double> beats_played; ///< true

    bool every_change_within(double seconds) const;
    /// Written as if it were sure, and wrong: it was not played, or a change is more than 200 ms off.
    bool confident_and_wrong() const;
};

struct TakeOutcome {
    std::vector<SectionOutcome> sections;
    double peer_beat_f = 0;
    double beat_f = 0;
    double sound_seconds = 0;
    double work_seconds = 0; ///< of hearing and listening
};

/// Listens as the program does: the rough cue file of the performance is read, and its parts are sought.
TakeOutcome outcome_of(BenchTake const& take, std::string const& name, pipeline::Hearing const& heard,
                       double hearing_seconds);

} // namespace tabard::tests
