#pragma once
#include "pipeline/media/orientation.h"
#include "pipeline/media/read/film_flaws.h"
#include "pipeline/sound/loudness.h"
#include "pipeline/timeline/media_facts.h"
#include "pipeline/workspace/cut_film.h"

#include <optional>
#include <string>
#include <vector>

namespace tabard::pipeline {

/// What the checks must know of the footage.
struct FilmFacts {
    MediaFacts media;
    std::optional<Time> claimed_end; ///< where the header says it ends, if it ends well before (VideoTrack)
    SizePx displayed{1920, 1080};
    std::string fingerprint;          ///< see footage_fingerprint(); empty where nobody asked
    std::optional<Loudness> loudness; ///< none: no sound, or not measured
    std::vector<CutDoubt> doubts;     ///< of the cut that the lesson is seen through, and of its being that one's film
    std::vector<FilmFlaw> flaws;      ///< see find_flaws(); empty where nobody looked
};

} // namespace tabard::pipeline
