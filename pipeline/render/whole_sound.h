#pragma once
#include "pipeline/media/read/coded_film.h"
#include "pipeline/media/write/film_writer.h"
#include "pipeline/render/group_cache.h"

namespace tabard::pipeline {

/// Sound of the film that an earlier render decoded from end to end and found whole: not one more time. `film` was read
/// by find_flaws() or read_picture_times().
SoundDigests known_whole_sound(CodedFilm const& film, GroupCache const& cache);
void keep_whole_sound(SoundDigests const& whole, GroupCache& cache);

} // namespace tabard::pipeline
