#pragma once
#include "overlay/base/result.h"
#include "pipeline/media/media_info.h"

#include <filesystem>
#include <stop_token>

namespace tabard::pipeline {

/// Reads the headers of a film or a sound file; reads no further than it must and never writes.
/// Errors: not_found; unsupported (no media, or a kind we do not read); decode (broken headers); interrupted.
Result<MediaInfo> probe(std::filesystem::path const& path, std::stop_token stop = {});

/// The same for footage: no video track is an error that says so.
Result<MediaInfo> probe_film(std::filesystem::path const& path, std::stop_token stop = {});

} // namespace tabard::pipeline
