#pragma once
#include "pipeline/media/splice/splice_source.h"
#include "pipeline/media/write/film_writer.h"
#include "pipeline/render/scene_runs.h"

#include <optional>
#include <string>
#include <vector>

namespace tabard::pipeline {

/// What a render would do.
struct FilmPlan {
    std::optional<SpliceSource> source; ///< where groups are copied; none: the whole film is encoded
    std::string why_whole;              ///< then: why, to stand after "because "; empty where it was asked for
    SceneRuns runs;                     ///< as the pictures of `source` show them
    std::vector<bool> touched;          ///< for each group of `source`: an overlay is on one of its pictures
    std::int64_t touched_groups = 0;
    Time touched_time{0}; ///< how long these are on screen
    Time whole_time{0};
};

/// When the next group's first picture takes its place, or the film ends.
Time end_of_group(SpliceSource const& source, std::size_t group);

/// What a render with `write` would do where nobody asks for all of the film to be encoded. Reads the film's coded
/// pictures once, decoding none, and puts what find_flaws() gives into `flaws` where that is given. Errors: as
/// CodedFilm::open(), interrupted.
Result<FilmPlan> plan_film(CodedFilm& film, WriteOptions const& write, SceneRuns const& runs,
                           std::vector<FilmFlaw>* flaws = nullptr);

} // namespace tabard::pipeline
