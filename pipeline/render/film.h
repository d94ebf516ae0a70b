#pragma once
#include "overlay/base/result.h"
#include "pipeline/files/output_file.h"
#include "pipeline/media/read/media_reader.h"
#include "pipeline/media/write/film_writer.h"
#include "pipeline/render/compositor.h"
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
    std::stop_token stop;
    std::function<void(double)> progress; ///< told the share that is done, 0 to 1; may be empty
};

struct FilmReport {
    std::int64_t pictures = 0;
    std::int64_t drawn_pictures = 0; ///< of them, with an overlay
    std::int64_t bytes = 0;
    bool spliced = false;        ///< untouched groups were copied
    std::string why_whole;       ///< where not: the reason, to stand after "because "; empty where asked for
    std::int64_t groups = 0;     ///< of a spliced film: all,
    std::int64_t encoded = 0;    ///< encoded now,
    std::int64_t from_cache = 0; ///< and found in the cache
    ReadDamage damage;
    std::vector<std::string> notes; ///< what could not be kept or was guessed, one sentence each
};

/// Makes the film. The target appears when it is whole, or not at all; the footage is only read. Memory does not grow
/// with the length of the film. If an input changed meanwhile there is none. A spliced film is read again before it
/// gets its name; should anything differ, all of it is encoded (Method::automatic). Errors: as OutputFile, MediaReader
/// and FilmWriter; unsupported where Method::splice_only cannot; interrupted.
Result<FilmReport> render_film(FilmJob const& job);

} // namespace tabard::pipeline
