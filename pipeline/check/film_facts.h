#pragma once
#include "overlay/base/result.h"
#include "pipeline/media/orientation.h"
#include "pipeline/timeline/media_facts.h"

#include <filesystem>
#include <optional>
#include <stop_token>
#include <string>

namespace tabard::pipeline {

/// How loud the whole film is, measured after ITU-R BS.1770 / EBU R 128.
struct Loudness {
    double integrated_lufs = 0;
    double true_peak_dbtp = 0;
    friend bool operator==(Loudness, Loudness) = default;
};

/// What the checks must know of the footage.
struct FilmFacts {
    MediaFacts media;
    SizePx displayed{1920, 1080};
    std::string fingerprint;          ///< see footage_fingerprint(); empty where nobody asked
    std::optional<Loudness> loudness; ///< none: no sound, or not measured
};

/// Reads the headers only; no fingerprint, no loudness. Errors as probe_film().
Result<FilmFacts> film_facts(std::filesystem::path const& footage, std::stop_token stop = {});

/// Measures the whole sound, which takes about a second for a quarter of an hour; none where the film is silent or has
/// no sound. Errors as SoundReader.
Result<std::optional<Loudness>> measure_loudness(std::filesystem::path const& footage, std::stop_token stop = {});

} // namespace tabard::pipeline
