#pragma once
#include "pipeline/match/sound_reading.h"

#include <optional>

namespace tabard::pipeline {

/// A stretch of the new film that is a stretch of the old one. Seconds.
struct MatchedPiece {
    double from = 0; ///< in the new film
    double to = 0;
    double offset = 0;                  ///< new time at which the old film's beginning would lie, played so
    std::optional<double> other_offset; ///< the old film has this passage there too, nearly alike
    Playback playback{};

    double length() const { return to - from; }
    /// What the new film plays at `time`. At speed 1: time - offset.
    double old_time(double time) const { return playback.speed * (time - offset); }
    double new_time(double old) const { return old / playback.speed + offset; }
};

} // namespace tabard::pipeline
