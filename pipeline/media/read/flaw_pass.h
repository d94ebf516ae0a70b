#pragma once
// The pass of find_flaws(), shared with who wants to see the same pictures. Included by this folder's .cpp files alone.
#include "pipeline/media/read/film_flaws.h"
#include "pipeline/media/read/picture_stream.h"

#include <functional>

namespace tabard::pipeline::av {

/// Told each picture, and at last the end or what keeps the others from being read.
using PictureWatcher = std::function<void(Result<std::optional<PictureStream::Next>> const&)>;

Result<std::vector<FilmFlaw>> find_flaws(CodedFilm& film, PictureWatcher const& watcher);

} // namespace tabard::pipeline::av
