#pragma once
// An open input as a MediaInfo. Included by this folder's .cpp files alone.
#include "pipeline/media/av.h"
#include "pipeline/media/media_info.h"

namespace tabard::pipeline::av {

/// Reads packets where the headers do not tell how long the film is. Errors: interrupted; decode for times that no film
/// has.
Result<MediaInfo> describe(Input const& input, std::filesystem::path const& path);
Error no_video(MediaInfo const& info);

/// Colour tags of pictures of `size` as a MediaReader gives them, guessing as is usual where the file does not say.
ColourTags colour_of(AVCodecParameters const& parameters);

/// Container metadata that tells where something was filmed, by its key or by what it holds: a position after ISO 6709,
/// or XMP (ISO 16684-1) with a place in it.
bool is_location(AVDictionaryEntry const& tag);
/// A stream of telemetry that does.
bool is_telemetry(AVStream const* stream);
/// A key that describes the container file itself, not the film.
bool is_container_key(std::string_view key);

} // namespace tabard::pipeline::av
