#pragma once
#include "overlay/base/result.h"
#include "pipeline/cues/lesson.h"
#include "pipeline/media/media_info.h"
#include "pipeline/timeline/media_facts.h"

#include <filesystem>
#include <optional>

namespace tabard::pipeline {

/// What is known of a film without decoding it.
struct KnownFilm {
    std::filesystem::path path;
    std::optional<MediaInfo> headers; ///< with video; none where the film cannot be read: `error` says why
    std::optional<Error> error;       ///< set where `headers` is not
    MediaFacts facts;                 ///< of the headers, else what is noted elsewhere; duration 0: not known
};

/// What a timeline must know of a film. `film.video` is there.
MediaFacts facts_of(MediaInfo const& film);

/// What a cue file notes about its footage, for when that cannot be read.
MediaFacts noted_facts(Lesson const& lesson);

} // namespace tabard::pipeline
