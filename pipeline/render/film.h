#pragma once
#include "overlay/base/result.h"
#include "pipeline/media/film_writer.h"
#include "pipeline/media/media_reader.h"
#include "pipeline/render/compositor.h"
#include "pipeline/render/pending_file.h"
#include "pipeline/render/scene_runs.h"

#include <filesystem>
#include <functional>
#include <optional>
#include <stop_token>
#include <string>
#include <vector>

namespace tabard::pipeline {

/// A film to make: `footage` with the scenes of `runs` over it, written to `target`.
struct FilmJob {
    std::filesystem::path footage;
    std::filesystem::path target;
    std::vector<std::filesystem::path> inputs; ///< more files that must not be written to, such as the cue file
    SceneRuns runs;
    Look look;
    std::optional<SizePx> scaled; ///< pictures brought to this stored size, for a draft
    WriteOptions write;           ///< container, encoder, title, chapters, part; its stop token is `stop`
    Existing existing = Existing::keep;
    std::stop_token stop;
    std::function<void(double)> progress; ///< told the share that is done, 0 to 1; may be empty
};

struct FilmReport {
    std::int64_t pictures = 0;
    std::int64_t drawn_pictures = 0; ///< of them, with an overlay
    std::int64_t bytes = 0;
    ReadDamage damage;
    std::vector<std::string> notes; ///< what could not be kept or was guessed, one sentence each
};

/// Decodes the whole film, lays the scenes over it and encodes it again. The target appears when it is whole, or not at
/// all; the footage is only read. Memory does not grow with the length of the film.
/// Errors: as PendingFile, MediaReader and FilmWriter; interrupted when `stop` asks.
Result<FilmReport> render_whole(FilmJob const& job);

} // namespace tabard::pipeline
