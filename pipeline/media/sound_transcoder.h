#pragma once
// Sound that a container cannot hold, encoded anew. Included by this folder's .cpp files alone.
#include "pipeline/media/av.h"
#include "pipeline/media/output.h"

namespace tabard::pipeline::av {

/// One sound stream: packets in, packets of AAC (or Opus, for WebM) out, at the same times.
class SoundTranscoder {
public:
    /// Describes `target` for the container.
    static Result<std::unique_ptr<SoundTranscoder>> open(AVStream const& from, std::int64_t zero_ticks,
                                                         Container container, AVStream& target,
                                                         std::filesystem::path const& path);
    /// A null packet ends the sound.
    Result<void> put(AVPacket const* packet, Output& output);

private:
    SoundTranscoder() = default;
};

} // namespace tabard::pipeline::av
