#pragma once
#include "pipeline/retime/cut_source.h"
#include "pipeline/time/edit_map.h"

#include <vector>

namespace tabard::pipeline {

/// A stretch of assembled picture, from its own time 0 on: shots in order, none over another, and black between them.
struct ShotSequence {
    Time length{0};
    std::vector<CutShot> shots;
    std::vector<CutShot> hidden; ///< what would be seen if nothing lay over it

    /// What `window` of this sequence shows when played over `length`; times outside the sequence are black. Backwards
    /// where `motion` is reverse; with freeze, the instant window.from held.
    ShotSequence seen_through(Interval window, Time new_length, Motion motion = Motion::forward) const;
    /// Puts `next` behind this one.
    void append(ShotSequence const& next);
};

/// Layers, lowest first, as one picture: each shows wherever all above it are black.
ShotSequence flattened(std::vector<ShotSequence> const& layers);

} // namespace tabard::pipeline
