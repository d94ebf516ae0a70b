#pragma once
#include "tests/bench/listen/outcome.h"

#include <string>
#include <vector>

namespace tabard::tests {

/// A row of the table: one kind, or all kinds together.
struct KindTally {
    int sections = 0;
    int confident_and_wrong = 0;
    int doubtful = 0;  ///< found, but not sure enough to be written
    int not_found = 0; ///< of those that were played
    int parts_played = 0;
    std::vector<double> errors; ///< seconds, a change
    int right_or_said = 0;      ///< changes within 100 ms, or in a section that was not written as sure
    double beat_f = 0;          ///< summed
    double peer_beat_f = 0;
    int performances = 0;
    int deviations = 0;
    int deviations_right = 0;
    int deviations_false = 0;
    int deviations_perhaps = 0;
    int pins = 0; ///< of the sections that are sure
    int sure_changes = 0;
    double sound_seconds = 0;
    double work_seconds = 0;

    void add(TakeOutcome const& outcome);
    void add(KindTally const& other);
    static std::string header();
    std::string row(std::string const& name) const;
};

} // namespace tabard::tests
