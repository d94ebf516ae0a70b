#pragma once
#include "pipeline/cues/lesson.h"
#include "pipeline/listen/playing.h"
#include "pipeline/time/edit_map.h"

#include <optional>
#include <string>
#include <vector>

namespace tabard::pipeline {

/// Playing for which there are no chords.
struct StrayPlaying {
    Interval heard;
    std::optional<int> section; ///< index into Lesson::sections: the part that it lies in and that is to have chords
    std::string part;           ///< its name
};

/// Playing that no section accounts for, of what is played outside every chart (`stray`, in a film of `seconds`): not
/// where chords are shown one by one, and long enough to matter.
std::vector<StrayPlaying> unexpected_playing(Lesson const& lesson, std::vector<Stretch> const& stray, double seconds);

} // namespace tabard::pipeline
