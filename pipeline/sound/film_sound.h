#pragma once
#include "overlay/base/result.h"

#include <filesystem>
#include <functional>
#include <span>
#include <stop_token>
#include <vector>

namespace tabard::pipeline {

/// Gives the sound of a film block by block to `take`: mono at `rate` samples a second, the first sample at film time
/// 0. `progress` hears the share done, 0 to 1. Errors: as SoundReader; those of `take`; unsupported where there is no
/// sound but silence; interrupted.
Result<void> stream_film_sound(std::filesystem::path const& film, int rate, std::stop_token stop,
                               std::function<void(double)> const& progress,
                               std::function<Result<void>(std::span<float const>)> const& take);

constexpr int kLongestHeldHours = 4; ///< of sound in memory, whatever a file claims

/// The whole of it in memory, sample n at film time n / rate: 106 MB for 20 minutes at the 22050 Hz that listening
/// uses. Errors: the same; unsupported beyond kLongestHeldHours.
Result<std::vector<float>> film_sound(std::filesystem::path const& film, int rate, std::stop_token stop = {},
                                      std::function<void(double)> const& progress = {});

} // namespace tabard::pipeline
