#pragma once
#include "overlay/base/result.h"

#include <filesystem>
#include <functional>
#include <stop_token>
#include <vector>

namespace tabard::pipeline {

/// The whole sound of a film, mono at `rate` samples a second, sample n at film time n / rate. 106 MB for 20 minutes at
/// the 22050 Hz that listening uses. `progress` hears the share done, 0 to 1. Errors: as SoundReader::open; unsupported
/// where there is no sound but silence; interrupted.
Result<std::vector<float>> film_sound(std::filesystem::path const& film, int rate, std::stop_token stop = {},
                                      std::function<void(double)> const& progress = {});

} // namespace tabard::pipeline
