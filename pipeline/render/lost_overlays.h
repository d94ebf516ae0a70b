#pragma once
#include "pipeline/render/film.h"

#include <optional>
#include <string>

namespace tabard::pipeline {

/// Fails (decode) where the film is copied only in part and overlays of the job are lost with the rest, and
/// (invalid_input) where the whole film would get not one overlay of those there are.
Result<void> check_overlays_reach(FilmJob const& job, MediaInfo const& film);

/// A sentence for the report where a part is asked for in which there is no overlay.
std::optional<std::string> note_of_empty_part(FilmJob const& job);

} // namespace tabard::pipeline
