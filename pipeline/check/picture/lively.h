#pragma once
#include "pipeline/check/picture/stillness.h"
#include "pipeline/media/read/media_reader.h"

#include <vector>

namespace tabard::pipeline {

/// Stretches of the film, the liveliest first, in which so many coded pictures are so large for their film that it may
/// flash there: a picture that has little in common with those before it costs several times what others cost. Each is
/// a second and some room. Keyframes count where one follows another within half a second. `coded` in any order.
std::vector<FilmSpan> lively_stretches(std::vector<CodedSize> coded);

} // namespace tabard::pipeline
