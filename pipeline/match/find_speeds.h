#pragma once
#include "pipeline/match/print_search.h"
#include "pipeline/match/sound_reading.h"

#include <span>
#include <vector>

namespace tabard::pipeline {

constexpr double kSpeedWindow = 4; ///< seconds

/// The ways in which some seconds of the new sound, which go by no line at the speed that they have, may play the old
/// sound half to twice as fast, each to a few thousandths; at most `most`, those with most evidence first. `starts`:
/// where in `after` (kMatchRate) to look, seconds; each looks at kSpeedWindow.
std::vector<Playback> find_speeds(PrintSearch& before, std::span<float const> after, std::vector<double> const& starts,
                                  std::size_t most = 3);

} // namespace tabard::pipeline
