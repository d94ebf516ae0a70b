#pragma once
#include "pipeline/media/write/added_tracks.h"
#include "pipeline/media/write/film_writer.h"

#include <functional>

namespace tabard::pipeline {

/// Writes the film again without touching picture or sound: with other chapters or another title, in another container,
/// with tracks of captions and files (Matroska alone). A film that gets such tracks is read again: the data of its
/// pictures and sound are those of the source, and due when those are. `progress` hears how far the copy is.
/// Of `options` the encoder and the part play no part. The target is written in place and whole only when this returns:
/// give it a temporary name. Errors: as FilmWriter::create(); unsupported where the container cannot hold the pictures;
/// io (disk full), interrupted.
Result<WriteReport> copy_film(std::filesystem::path const& target, MediaInfo const& source, WriteOptions const& options,
                              AddedTracks const& added = {}, std::function<void(Time)> const& progress = {});

} // namespace tabard::pipeline
