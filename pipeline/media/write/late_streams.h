#pragma once
// What a file's headers do not say of its streams. Included by this folder's .cpp files alone.
#include "pipeline/media/av.h"

namespace tabard::pipeline::av {

/// Whether all is known that a container must be told of this stream's sound.
bool is_known_sound(AVCodecParameters const& parameters);

/// Transport and program streams, FLV and DV bring streams where their first packet stands, and may say nothing of
/// their sound before that. For such a file, reads all of it once more and gives an input that knows every stream; none
/// where `opened` does already. Sound of which not one packet can be decoded stays unknown.
/// Errors: as open_input().
Result<std::optional<Input>> find_late_streams(Input const& opened, std::filesystem::path const& path,
                                               std::stop_token stop);

} // namespace tabard::pipeline::av
