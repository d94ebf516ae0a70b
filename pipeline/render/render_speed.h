#pragma once
#include "pipeline/media/media_info.h"
#include "pipeline/media/write/encoder_settings.h"

#include <filesystem>
#include <optional>

namespace tabard::pipeline {

/// How fast this machine made a spliced film, for an estimate of the next one.
struct RenderSpeed {
    double picture = 0; ///< seconds of one core for each picture of a group that is encoded
    double byte = 0;    ///< seconds for each byte of the film, for all that is not encoding
    friend bool operator==(RenderSpeed const&, RenderSpeed const&) = default;
};

/// Of the files that keep it, one for each machine and kind of render.
constexpr char const* kSpeedExtension = ".speed";

/// As it was the last time with such settings and pictures as large as these. `cache`: the folder of encoded groups.
std::optional<RenderSpeed> last_speed(std::filesystem::path const& cache, EncoderSettings const& settings,
                                      VideoTrack const& video);
/// Keeps it in `cache` for this machine. A failure is none of the work.
void note_speed(std::filesystem::path const& cache, EncoderSettings const& settings, VideoTrack const& video,
                RenderSpeed speed);

} // namespace tabard::pipeline
