#pragma once
#include "pipeline/match/sound_reading.h"

#include <cstdint>
#include <filesystem>
#include <optional>
#include <string>
#include <vector>

namespace tabard::tests {

/// What an editing program and an encoder do to a film's sound after the cut.
struct Treatment {
    std::string name;
    std::string filter{}; ///< FFmpeg's, over all of it; its delay stays in
    std::string encoder = "-c:a aac -b:a 96k";
    std::string ending = "m4a";
    pipeline::Playback playback{}; ///< of the whole film
    std::optional<double> music{}; ///< decibels of music laid over all of it, against the film's own loudness
};

/// Every kind that cuts are to be found through.
std::vector<Treatment> treatments();

/// Sound at kMatchRate played faster or slower, by FFmpeg: `asetrate`, or `atempo` where the pitch is kept.
std::vector<float> played(std::vector<float> const& sound, pipeline::Playback playback,
                          std::filesystem::path const& scratch);

/// Sound at kMatchRate treated, encoded and decoded again. `seed` chooses the music.
std::vector<float> treated(std::vector<float> const& sound, Treatment const& treatment, std::uint32_t seed,
                           std::filesystem::path const& scratch);

} // namespace tabard::tests
