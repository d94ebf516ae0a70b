#pragma once
#include "overlay/base/result.h"
#include "pipeline/media/read/coded_film.h"

#include <vector>

namespace tabard::pipeline {

/// When each picture of a film comes on screen, rising: read from its container, nothing is decoded. A film whose
/// container does not say it gives the times of a constant rate. Errors: as CodedFilm::open(),
/// interrupted.
Result<std::vector<Time>> read_picture_times(CodedFilm& film);

} // namespace tabard::pipeline
