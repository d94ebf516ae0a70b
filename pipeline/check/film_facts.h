#pragma once
#include "overlay/base/result.h"
#include "pipeline/media/orientation.h"
#include "pipeline/sound/loudness.h"
#include "pipeline/timeline/media_facts.h"

#include <filesystem>
#include <optional>
#include <stop_token>
#include <string>

namespace tabard::pipeline {

/// What the checks must know of the footage.
struct FilmFacts {
    MediaFacts media;
    SizePx displayed{1920, 1080};
    std::string fingerprint;          ///< see footage_fingerprint(); empty where nobody asked
    std::optional<Loudness> loudness; ///< none: no sound, or not measured
};

/// Reads the headers only; no fingerprint, no loudness. Errors as probe_film().
Result<FilmFacts> film_facts(std::filesystem::path const& footage, std::stop_token stop = {});

} // namespace tabard::pipeline
