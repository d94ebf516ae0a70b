#pragma once
#include "pipeline/listen/align.h"
#include "pipeline/listen/expected_music.h"
#include "pipeline/listen/hearing.h"

#include <span>
#include <vector>

namespace tabard::pipeline {

/// Beats of a part that begin at another time by a second reading.
struct Disagreement {
    int first_beat = 0;
    int end_beat = 0;
    double late = 0; ///< seconds by which they were found after it; negative: before it
};

/// What the sound says of a part where it was found, by the way that judges finished cues (read_cues): that shares
/// neither tempo nor place with the one that found it.
struct SecondReading {
    std::vector<Disagreement> off; ///< rising; empty where it agrees
};

/// One a part; that of a part that was not found says nothing.
std::vector<SecondReading> read_again(Hearing const& heard, ExpectedMusic const& chart,
                                      std::span<AlignedPart const> found);

} // namespace tabard::pipeline
