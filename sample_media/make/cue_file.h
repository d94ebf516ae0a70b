#pragma once
#include "sample_media/make/score.h"

namespace tabard::lantern {

/// The cue file of this lesson, laid out as a teacher would write it.
std::string cue_file(Score const& score);

} // namespace tabard::lantern
