#pragma once
#include "pipeline/listen/hearing.h"
#include "pipeline/listen/playing.h"

#include <vector>

namespace tabard::pipeline {

/// What is struck over a stretch.
struct Strokes {
    std::vector<float>
        strength; ///< novelty evened out, every kNoveltyHop samples: soft strokes count nearly as loud ones
    std::vector<double> seconds; ///< of each stroke, since the stretch began
    std::vector<double> weights; ///< its novelty, 0 to 1
};

Strokes strokes_of(Hearing const& heard, Stretch stretch);

} // namespace tabard::pipeline
