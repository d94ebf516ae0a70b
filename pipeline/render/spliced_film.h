#pragma once
#include "pipeline/render/film_plan.h"

#include <filesystem>

namespace tabard::pipeline {

/// Writes the film of `job` to `target`: touched groups of `plan.source` are decoded, laid over and encoded side by
/// side (or come from the cache), all others are copied bit by bit. Then the result is read again and compared with
/// what was meant. Errors: unsupported or decode where the film cannot be made in this way; io; interrupted.
Result<FilmReport> write_spliced(FilmJob const& job, FilmPlan const& plan, std::filesystem::path const& target);

} // namespace tabard::pipeline
