#pragma once
#include "pipeline/listen/hearing.h"
#include "pipeline/listen/playing.h"

#include <vector>

namespace tabard::pipeline {

/// Playing of some length that no part accounts for. `parts` are stretches in order of time; a part's last chord may
/// ring on after it.
std::vector<Stretch> stray_playing(Hearing const& heard, std::vector<Stretch> const& parts);

} // namespace tabard::pipeline
