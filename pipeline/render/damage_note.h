#pragma once
#include "pipeline/media/read/film_flaws.h"
#include "pipeline/render/film.h"

#include <optional>
#include <string>
#include <vector>

namespace tabard::pipeline {

/// A sentence for the report where the part of the footage that the job asks for is not whole (find_flaws()): what is
/// copied stays as it is, and what is missing cannot be drawn on.
std::optional<std::string> note_of_damage(FilmJob const& job, std::vector<FilmFlaw> flaws);

} // namespace tabard::pipeline
