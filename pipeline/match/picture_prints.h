#pragma once
#include "overlay/base/result.h"
#include "pipeline/time/time.h"

#include <array>
#include <cstdint>
#include <filesystem>
#include <functional>
#include <stop_token>
#include <vector>

namespace tabard::pipeline {

/// A picture's brightness, brought to 32 by 18 samples: enough to tell pictures of one film apart, little enough to
/// keep all of them (13 MB for 15 minutes).
constexpr std::size_t kPrintWidth = 32;
constexpr std::size_t kPrintHeight = 18;
using PicturePrint = std::array<std::uint8_t, kPrintWidth * kPrintHeight>;

/// Mean difference of two pictures, in grey levels.
float print_distance(PicturePrint const& a, PicturePrint const& b);

/// What is on screen in each frame of `rate` from film time 0 on. `progress` hears the share done, 0 to 1. Errors: as
/// MediaReader::open(); interrupted.
Result<std::vector<PicturePrint>> picture_prints(std::filesystem::path const& film, FrameRate rate,
                                                 std::stop_token stop = {},
                                                 std::function<void(double)> const& progress = {});

} // namespace tabard::pipeline
