#pragma once
#include "pipeline/listen/cue_shifts.h"
#include "pipeline/listen/part_reading.h"

#include <cstddef>
#include <optional>
#include <vector>

namespace tabard::pipeline {

/// The spans of a part that are played, as anchors, and what the strum says of them.
struct CueAnchors {
    std::vector<std::size_t> spans;
    std::vector<CueAnchor> anchors;
    std::vector<double> beats;                  ///< seconds
    std::vector<std::optional<double>> earlier; ///< seconds from the anchor back to a stroke that may bring it too
};

/// Those of a part whose cues are moved by `moved` seconds.
CueAnchors anchors_of(CuedPart const& part, ChordEvidence const& evidence, double moved);

} // namespace tabard::pipeline
