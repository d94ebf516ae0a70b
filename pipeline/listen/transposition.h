#pragma once
#include "pipeline/listen/expected_music.h"
#include "pipeline/listen/hearing.h"

namespace tabard::pipeline {

struct Transposition {
    int semitones = 0; ///< by which everything sounds above the chart, -5 to 6
    double gain = 0;   ///< nats a beat by which that fits better than the chart as written
};

/// Which of the twelve transpositions of a chart fits a recording best; 0 unless another is clearly better. One
/// semitone is a capo one fret off.
Transposition find_transposition(Hearing const& heard, ExpectedMusic const& chart);

/// The chart `semitones` higher.
ExpectedMusic transposed(ExpectedMusic chart, int semitones);

} // namespace tabard::pipeline
