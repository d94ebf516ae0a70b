#pragma once
// Sound that a container cannot hold, encoded anew. Included by this folder's .cpp files alone.
#include "pipeline/media/av.h"
#include "pipeline/media/sound_grid.h"
#include "pipeline/media/write/output.h"

#include <span>
#include <vector>

namespace tabard::pipeline::av {

/// One sound stream: packets in, packets of AAC (or Opus, for WebM) out, heard at the same times.
class SoundTranscoder {
public:
    /// Describes `target` for the container. [from, to) of the film becomes [0, to - from).
    static Result<std::unique_ptr<SoundTranscoder>> open(AVStream const& source, std::int64_t zero_ticks, Time from,
                                                         std::optional<Time> to, Output const& output,
                                                         AVStream& target);
    /// A null packet ends the sound.
    Result<void> put(AVPacket const* packet, Output& output);

    std::int64_t broken_packets() const { return m_grid.broken_packets(); }

private:
    SoundTranscoder() = default;
    Result<void> take(std::span<float const> samples, Output& output);
    Result<void> encode(std::size_t frames, Output& output);
    Result<void> send(AVFrame const* frame, Output& output);

    SoundGrid m_grid;
    CodecHandle m_encoder;
    PacketHandle m_packet = make_packet();
    std::vector<float> m_waiting; ///< interleaved, not yet encoded
    std::int64_t m_skip = 0;      ///< frames still to leave out
    std::int64_t m_left = 0;      ///< frames still to take
    std::int64_t m_position = 0;  ///< of the first waiting frame
    int m_target = -1;
};

} // namespace tabard::pipeline::av
