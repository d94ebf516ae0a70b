#pragma once
#include "pipeline/media/splice/splice_source.h"
#include "pipeline/render/film.h"

#include <optional>
#include <string>
#include <vector>

namespace tabard::pipeline {

/// What a render would do.
struct FilmPlan {
    std::optional<SpliceSource> source; ///< where groups are copied; none: the whole film is encoded
    std::string why_whole;              ///< then: why, to stand after "because "; empty where it was asked for
    SceneRuns runs;                     ///< of the job, as the pictures of `source` show them
    std::vector<bool> touched;          ///< for each group of `source`: an overlay is on one of its pictures
    std::int64_t touched_groups = 0;
    Time touched_time{0}; ///< how long these are on screen
    Time whole_time{0};
};

/// Reads the footage's coded pictures once, decoding none. Errors: as probe_film().
Result<FilmPlan> plan_film(FilmJob const& job);

} // namespace tabard::pipeline
