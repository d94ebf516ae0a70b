#pragma once
#include "pipeline/check/picture/stillness.h"
#include "pipeline/media/read/media_reader.h"

#include <vector>

namespace tabard::pipeline {

/// Stretches of the film, in order and with some room around them, where coded pictures are for a while so small that
/// hardly anything can change in them: there the film may be black or frozen, and only there it needs to be decoded to
/// know. Keyframes do not count, for they are large whatever they show. `coded` in any order.
std::vector<FilmSpan> quiet_stretches(std::vector<CodedSize> coded);

/// Overlapping and touching spans made one, in order.
std::vector<FilmSpan> merged(std::vector<FilmSpan> spans);

} // namespace tabard::pipeline
