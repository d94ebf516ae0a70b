#pragma once
#include "pipeline/listen/hearing.h"
#include "tests/support/performance/performance.h"

#include <array>
#include <string>

namespace tabard::tests {

/// How well `listen --check` judges finished cues: true ones, and the same ones moved.
class CheckTally {
public:
    void add(Performance const& played, pipeline::Hearing const& heard);
    void add(CheckTally const& other);
    static std::string header();
    std::string row(std::string const& name) const; ///< of one kind
    std::string table() const;                      ///< a row a shift

private:
    struct Cues {
        int cues = 0;
        int unheard = 0;       ///< in parts that it does not judge
        int right = 0;         ///< judged, and within the window around the stroke
        int right_flagged = 0; ///< false alarms
        int off = 0;           ///< judged, and outside the window
        int off_flagged = 0;
        int flagged = 0;
        int parts = 0;
        int parts_flagged = 0; ///< with a cue that is flagged
    };
    struct Shift {
        char const* name;
        double seconds;
        double beats;
    };
    static constexpr std::array kShifts{Shift{"true, 30 ms early", 0, 0},     Shift{"80 ms later", 0.08, 0},
                                        Shift{"80 ms earlier", -0.08, 0},     Shift{"130 ms later", 0.13, 0},
                                        Shift{"130 ms earlier", -0.13, 0},    Shift{"half a beat later", 0, 0.5},
                                        Shift{"half a beat earlier", 0, -0.5}};
    std::array<Cues, kShifts.size()> m_cues{};
};

} // namespace tabard::tests
