#pragma once
#include "overlay/base/result.h"
#include "pipeline/media/media_info.h"

#include <stop_token>
#include <vector>

namespace tabard::pipeline {

/// When each picture of a film comes on screen, rising: read from its container, nothing is decoded. A film whose
/// container does not say it gives the times of a constant rate. Errors: as probe(), interrupted.
Result<std::vector<Time>> read_picture_times(MediaInfo const& film, std::stop_token stop = {});

} // namespace tabard::pipeline
