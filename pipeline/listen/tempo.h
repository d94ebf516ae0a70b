#pragma once
#include "overlay/music/meter.h"
#include "pipeline/listen/hearing.h"
#include "pipeline/listen/playing.h"

#include <optional>
#include <span>
#include <vector>

namespace tabard::pipeline {

/// The pulse of what is played, and the meter where it is clear.
struct HeardTempo {
    double beat_seconds = 0; ///< of the pulse that a tempo counts: the dotted one in 6/8
    std::optional<overlay::Meter> meter;
};

/// The likely tempo of each stretch that is played, of one lesson: strokes fall on the beat and on even parts of it,
/// chords change with the bar, neither is very fast or slow, and parts of a lesson are mostly played alike. None where
/// two tempos are nearly as likely, such as half or twice.
std::vector<std::optional<HeardTempo>> estimate_tempos(Hearing const& heard, std::span<Stretch const> parts);

} // namespace tabard::pipeline
