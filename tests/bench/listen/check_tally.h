#pragma once
#include "pipeline/listen/hearing.h"
#include "tests/support/performance/performance.h"

#include <array>
#include <string>

namespace tabard::tests {

/// How cues are moved before they are judged: those of all parts, of the second one, or of two bars of each.
struct CheckShift {
    enum class Which { all, one_part, two_bars };
    char const* name;
    double seconds;
    double beats;
    Which which = Which::all;
};

/// How well `listen --check` judges finished cues: true ones, and the same ones moved.
class CheckTally {
public:
    /// With a name each part whose cues are judged wrongly is printed.
    void add(Performance const& played, pipeline::Hearing const& heard, std::string const& name = "");
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
        int off_unsure = 0; ///< not flagged, in a part of which it is said that the sound cannot judge it
        int flagged = 0;
        int parts = 0;
        int parts_flagged = 0; ///< with a cue that is flagged
        int parts_unsure = 0;  ///< that the sound cannot judge
    };
    static constexpr std::array kShifts{CheckShift{"true, 30 ms early", 0, 0},
                                        CheckShift{"80 ms later", 0.08, 0},
                                        CheckShift{"80 ms earlier", -0.08, 0},
                                        CheckShift{"130 ms later", 0.13, 0},
                                        CheckShift{"130 ms earlier", -0.13, 0},
                                        CheckShift{"half a beat later", 0, 0.5},
                                        CheckShift{"half a beat earlier", 0, -0.5},
                                        CheckShift{"part 2, 80 ms later", 0.08, 0, CheckShift::Which::one_part},
                                        CheckShift{"part 2, half a beat later", 0, 0.5, CheckShift::Which::one_part},
                                        CheckShift{"part 2, half a beat earlier", 0, -0.5, CheckShift::Which::one_part},
                                        CheckShift{"part 2, a beat later", 0, 1, CheckShift::Which::one_part},
                                        CheckShift{"bars 4 and 5, 130 ms later", 0.13, 0, CheckShift::Which::two_bars},
                                        CheckShift{"bars 4 and 5, a beat later", 0, 1, CheckShift::Which::two_bars},
                                        CheckShift{"bars 4 and 5, a beat earlier", 0, -1, CheckShift::Which::two_bars}};
    std::array<Cues, kShifts.size()> m_cues{};
};

} // namespace tabard::tests
