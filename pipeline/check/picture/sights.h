#pragma once
#include "overlay/drawing/cover.h"
#include "pipeline/time/time.h"

#include <filesystem>
#include <stop_token>
#include <vector>

namespace tabard::pipeline {

/// What a cover made of the picture at `time` should show: heads (10 each), what moves as hands do in the second before
/// and after (5 together), and the middle, where a player and the guitar mostly are (1). Where no face is found, the
/// place where one would be counts a little (2). Errors: as MediaReader.
Result<std::vector<overlay::CoverSight>> sights_near(std::filesystem::path const& footage, Time time,
                                                     std::stop_token stop = {});

} // namespace tabard::pipeline
