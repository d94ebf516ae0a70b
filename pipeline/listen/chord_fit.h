#pragma once
#include "pipeline/listen/expected_music.h"
#include "pipeline/listen/hearing.h"

namespace tabard::pipeline {

/// Whether what sounds is the chord on paper. An added seventh or another bass mostly cannot be told from the sound.
enum class Fit { fits, cannot_tell, differs };

struct ChordFit {
    Fit fit = Fit::cannot_tell;
    HeardChord sounds_like; ///< the plain triad that fits best
    double lead = 0;        ///< likeness (0 to 1) by which that triad fits better than the chord on paper
};

/// Compares the sound from `from` to `to` seconds with the chord that is to sound and with all plain triads.
ChordFit judge_chord(Hearing const& heard, HeardChord const& expected, double from, double to);

/// How far a chord counts as heard as written, 0 to 1; one that clearly is another counts against it.
double share_as_written(ChordFit const& chord);

} // namespace tabard::pipeline
