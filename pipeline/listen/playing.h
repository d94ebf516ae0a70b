#pragma once
#include "pipeline/listen/hearing.h"

#include <vector>

namespace tabard::pipeline {

/// Seconds [from, to) of a recording.
struct Stretch {
    double from = 0;
    double to = 0;
};

enum class Activity { silence, talk, played };

/// What goes on over a stretch.
struct ActivityStretch {
    Stretch stretch;
    Activity activity = Activity::silence;
};

/// Divides a recording into talk, playing and silence, none shorter than some seconds. Notes held steadily on the
/// twelve pitch classes are playing; a voice glides. Playing with talk over it counts as playing.
std::vector<ActivityStretch> find_activity(Hearing const& heard);

/// How steadily the pitch classes are held in each half second, 0 to 1: playing 0.75 and more, talk 0.55 and less
/// (built recordings).
std::vector<float> steadiness(Hearing const& heard);

} // namespace tabard::pipeline
