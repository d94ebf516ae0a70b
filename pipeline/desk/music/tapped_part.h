#pragma once
#include "pipeline/cues/lesson.h"
#include "pipeline/desk/music/tap_targets.h"

#include <optional>
#include <string>
#include <vector>

namespace tabard::pipeline {

/// What was tapped of a part.
struct TappedPart {
    std::vector<Pin> pins;      ///< few, but enough; of whole milliseconds. One alone where only the begin was tapped
    std::optional<Tempo> tempo; ///< mean; none for one tap
    double spread = 0;          ///< seconds between passes: standard deviation of one tap
    std::vector<std::string> words;    ///< "16 changes", "pass 2 has no tap for bar 7"
    std::vector<std::string> warnings; ///< what is likely wrong
};

/// The passes as pins. `passes`: seconds of film time, with the lateness of the person taken off already. Fails with
/// invalid_input where nothing was tapped, or the part has no chart and more than its begin was tapped.
Result<TappedPart> tapped_part(Section const& section, TapEach each, std::vector<std::vector<double>> const& passes);

} // namespace tabard::pipeline
