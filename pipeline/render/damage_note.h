#pragma once
#include "pipeline/media/read/coded_film.h"
#include "pipeline/render/film.h"

#include <optional>
#include <string>

namespace tabard::pipeline {

/// A sentence for the report where the part of the footage that the job asks for is not whole (find_flaws()): what is
/// copied stays as it is, and what is missing cannot be drawn on. Reads the coded pictures once. Errors: as
/// CodedFilm::open(), interrupted.
Result<std::optional<std::string>> note_of_damage(FilmJob const& job, CodedFilm& film);

} // namespace tabard::pipeline
