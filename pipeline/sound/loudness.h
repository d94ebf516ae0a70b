#pragma once
#include "overlay/base/result.h"

#include <filesystem>
#include <optional>
#include <stop_token>

namespace tabard::pipeline {

/// How loud the whole film is, measured after ITU-R BS.1770 / EBU R 128.
struct Loudness {
    double integrated_lufs = 0;
    double true_peak_dbtp = 0;
    friend bool operator==(Loudness, Loudness) = default;
};

/// Measures the whole sound, which takes about a second for a quarter of an hour; none where it is silence. Errors as
/// SoundReader: not_found too for a film without sound.
Result<std::optional<Loudness>> measure_loudness(std::filesystem::path const& footage, std::stop_token stop = {});

} // namespace tabard::pipeline
