#pragma once
#include "overlay/base/result.h"
#include "pipeline/listen/hearing.h"

#include <filesystem>
#include <functional>
#include <stop_token>

namespace tabard::pipeline {

constexpr int kLongestHeardHours = 12; ///< of one film: an hour takes some 60 MB

/// Hears a film's sound in passing, so that no film has to fit into memory. `progress` hears the share done, 0 to 1.
/// Errors: as stream_film_sound(); unsupported beyond kLongestHeardHours.
Result<Hearing> hear_film(std::filesystem::path const& film, std::stop_token stop = {},
                          std::function<void(double)> const& progress = {});

} // namespace tabard::pipeline
