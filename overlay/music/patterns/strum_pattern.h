#pragma once
#include "overlay/base/result.h"
#include "overlay/music/meter.h"

#include <compare>
#include <string>
#include <string_view>
#include <vector>

namespace tabard::overlay {

/// A string that a finger of the playing hand plucks. `string` counts from 1 = highest, as players count; 0 is the
/// chord's own bass string. `finger` is p, i, m or a, or '\0' where not said.
struct Pluck {
    int string = 0;
    char finger = '\0';
    friend auto operator<=>(Pluck const&, Pluck const&) = default;
};

/// One step of a pattern. Steps divide the bar evenly.
struct StrumStep {
    enum class Motion { rest, down, up, pluck };
    Motion motion = Motion::rest; ///< rest: the hand passes without sounding
    bool muted = false;           ///< tapped or damped stroke, suffix x
    bool accent = false;          ///< suffix >
    char finger = '\0';           ///< p i m a where a strum names one
    std::vector<Pluck> plucks;    ///< for Motion::pluck
    friend auto operator<=>(StrumStep const&, StrumStep const&) = default;
};

/// What the playing hand does over one bar.
struct StrumPattern {
    std::vector<StrumStep> steps;
    /// Where an off-beat step falls between its beat and the next: 0.5 is even, 0.667 a triplet swing.
    double swing = 0.5;
    friend auto operator<=>(StrumPattern const&, StrumPattern const&) = default;

    /// Reads "Dp - Dx Ui - Ui D> Ui" or "6p 3i 2m 3i" (grammar: design of the cue file, README). Fails with
    /// invalid_input: the token, its position, and what may stand there.
    static Result<StrumPattern> parse(std::string_view text);
    std::string text() const; ///< parse(text()) gives the same steps
};

/// Whether the steps divide a bar of `meter` evenly: several steps a beat, or several beats a step. Fails with
/// invalid_input and says how many steps would fit.
Result<void> fits_bar(StrumPattern const& pattern, Meter meter);

/// What is said aloud at each of `steps` even steps of a bar: "1", "&", "2", ... ("1 e & a" for four to a beat, "1 & a"
/// for three, "1 2 3 4 5 6" in 6/8). Empty strings where nothing is said. (Common practice, no published source.)
std::vector<std::string> count_syllables(Meter meter, int steps);

} // namespace tabard::overlay
