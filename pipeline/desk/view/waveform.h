#pragma once
#include "overlay/base/result.h"

#include <cstdint>
#include <filesystem>
#include <stop_token>
#include <string>

namespace tabard::pipeline {

constexpr int kWaveformRate = 50; ///< a second

/// How loud a film is: the loudest sample of each fiftieth of a second from film time 0, full scale 255, a byte each.
/// Empty where there is no sound. Streams: memory is that of the answer. Errors: as stream_film_sound().
Result<std::string> read_waveform(std::filesystem::path const& film, std::stop_token stop);

} // namespace tabard::pipeline
