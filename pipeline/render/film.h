#pragma once
#include "overlay/base/result.h"
#include "pipeline/files/output_file.h"
#include "pipeline/machine/allowance.h"
#include "pipeline/media/write/film_writer.h"
#include "pipeline/render/compositor.h"
#include "pipeline/render/film_plan.h"
#include "pipeline/render/film_report.h"
#include "pipeline/render/scene_runs.h"

#include <filesystem>
#include <functional>
#include <optional>
#include <stop_token>
#include <string>
#include <vector>

namespace tabard::pipeline {

/// How much of a film is encoded anew.
enum class Method {
    automatic,   ///< the groups of pictures that an overlay touches; all of it where copying is not safe
    whole,       ///< all of it
    splice_only, ///< the touched groups, or nothing at all
};

/// A film to make: `footage` with the scenes of `runs` over it, written to `target`.
struct FilmJob {
    std::filesystem::path footage;
    std::filesystem::path target;
    Inputs inputs; ///< all that is read for it, as it was at first sight: the cue file, the footage, the cut, the theme
    SceneRuns runs;
    Look look;
    std::optional<SizePx> scaled; ///< pictures brought to this stored size, for a draft
    WriteOptions write;           ///< container, encoder, title, chapters, part; its stop token is `stop`
    Existing existing = Existing::keep;
    Method method = Method::automatic;
    std::optional<std::filesystem::path> cache; ///< folder for encoded groups (see GroupCache); none: keep none
    Allowance allowance;
    std::stop_token stop;
    std::function<void(double)> progress; ///< told the share that is done, 0 to 1; may be empty
};

/// What render_film() would do. Reads the footage's coded pictures once, decoding none. Errors: as CodedFilm::open(),
/// interrupted.
Result<FilmPlan> plan_film(FilmJob const& job);
/// The same, of a footage that is open. The pass gives `flaws`, too, where that is given: see find_flaws().
Result<FilmPlan> plan_film(FilmJob const& job, CodedFilm& film, std::vector<FilmFlaw>* flaws = nullptr);

/// Makes the film. The target appears when it is whole, or not at all; the footage is only read. Memory does not grow
/// with the length of the film. If an input changed meanwhile there is none. A spliced film is read again before it
/// gets its name; should anything differ, all of it is encoded (Method::automatic). Errors: as OutputFile, MediaReader
/// and FilmWriter; unsupported where Method::splice_only cannot; interrupted.
Result<FilmReport> render_film(FilmJob const& job);

} // namespace tabard::pipeline
