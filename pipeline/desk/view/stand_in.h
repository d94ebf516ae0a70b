#pragma once
#include "overlay/base/result.h"
#include "pipeline/media/media_info.h"

#include <filesystem>
#include <functional>
#include <stop_token>

namespace tabard::pipeline {

/// Whether browsers play a film as it is: H.264 in MP4 or MOV, VP8, VP9 or AV1 in WebM, of 8 bits and 4:2:0, without
/// fields, and sound that they know. What only some of them play is not counted.
bool plays_in_browsers(MediaInfo const& film);

/// Writes a film that browsers play in place of `film`: H.264 in MP4, its frames at the same times (to the tick of the
/// film's clock). Copied where that will do, else encoded small and fast. `progress` hears the share done. The target
/// appears when it is whole. Errors: as MediaReader, FilmWriter and OutputFile; interrupted.
Result<void> make_stand_in(MediaInfo const& film, std::filesystem::path const& target, std::stop_token stop,
                           std::function<void(double)> const& progress);

/// The folder of stand-ins in that of the cache, with room for another one: those that were used least recently are
/// removed beyond a limit. Fails with io where it cannot be made.
Result<std::filesystem::path> stand_in_folder(std::filesystem::path const& cache);

} // namespace tabard::pipeline
