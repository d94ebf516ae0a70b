#pragma once
#include "overlay/drawing/colour.h"
#include "pipeline/media/media_info.h"

#include <array>
#include <filesystem>
#include <optional>
#include <stop_token>
#include <vector>

namespace tabard::pipeline {

/// A picture in cells of equal size, whatever its shape: mean colours as a viewer sees them, from the top left, row by
/// row.
constexpr int kLightSide = 24;
constexpr int kLightCells = kLightSide * kLightSide;
struct PictureLight {
    Time time{0};
    std::array<overlay::Colour, kLightCells> cells{};
    friend bool operator==(PictureLight const&, PictureLight const&) = default;
};

/// How light a film is, and where: of a few pictures spread over it. A value.
struct FootageLight {
    std::vector<PictureLight> pictures;
    friend bool operator==(FootageLight const&, FootageLight const&) = default;
};

/// Decodes three to five pictures, by their size (fewer where few stand alone). Standard range: code values are taken
/// as sRGB, as displays show them; HDR as to_srgb() does, with graphics white (203 cd/m2) as white. `film` are the
/// footage's headers, with video. Errors: as look_at_key_pictures().
Result<FootageLight> measure_footage_light(MediaInfo const& film, std::stop_token stop = {});

/// The same, kept in the folder of encoded groups (see GroupCache) under the footage's fingerprint, so that the next
/// command need not look; none: look.
Result<FootageLight> footage_light(MediaInfo const& film, std::optional<std::filesystem::path> const& cache,
                                   std::stop_token stop = {});

} // namespace tabard::pipeline
