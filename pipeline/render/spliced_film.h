#pragma once
#include "pipeline/machine/allowance.h"
#include "pipeline/render/compositor.h"
#include "pipeline/render/film_plan.h"
#include "pipeline/render/film_report.h"
#include "pipeline/render/film_room.h"

#include <filesystem>
#include <functional>

namespace tabard::pipeline {

/// How a spliced film is made. Everything is borrowed.
struct SplicedFilmOptions {
    Look const& look;
    WriteOptions const& write;
    std::int64_t footage_bytes = 0; ///< of the whole file
    GroupCache* cache = nullptr;    ///< none: keep none
    Allowance allowance;
    std::function<void(double)> const& progress; ///< may be empty
};

/// Writes the film to `target`: touched groups of `plan.source`, which came from `film`, are decoded, laid over and
/// encoded side by side (or come from the cache), all others are copied bit by bit. Then the result is read again and
/// compared with what was meant. The bytes depend on nothing but the film, the scenes, the look and the encoder's
/// settings. Errors: unsupported or decode where the film cannot be made in this way; io; interrupted.
Result<FilmReport> write_spliced(CodedFilm& film, FilmPlan const& plan, SplicedFilmOptions const& options,
                                 FilmRoom& room, std::filesystem::path const& target);

} // namespace tabard::pipeline
