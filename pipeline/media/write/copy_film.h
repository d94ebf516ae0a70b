#pragma once
#include "pipeline/media/write/film_writer.h"

namespace tabard::pipeline {

/// Writes the film again without touching picture or sound: with other chapters or another title, in another container.
/// Of `options` the encoder and the part play no part. The target is written in place and whole only when this returns:
/// give it a temporary name. Errors: as FilmWriter::create(); unsupported where the container cannot hold the pictures;
/// io (disk full), interrupted.
Result<WriteReport> copy_film(std::filesystem::path const& target, MediaInfo const& source,
                              WriteOptions const& options);

} // namespace tabard::pipeline
