#pragma once
// Damaged sound, told from whole. Included by this folder's .cpp files alone.
#include "pipeline/media/av.h"

namespace tabard::pipeline::av {

/// Decodes the packets of a sound stream to see whether they are whole: what a transport stream has lost leaves packets
/// that look like sound and are none, and muxers and players stumble over them.
class SoundProof {
public:
    /// `sound`: what is known of the stream. Proves nothing where there is no decoder for it.
    static SoundProof of(AVStream const& stream, AVCodecParameters const& sound, std::filesystem::path const& path);

    /// False for a packet that cannot be decoded, or to sound of another form than the stream's.
    bool is_whole(AVPacket const& packet);

private:
    CodecHandle m_decoder;
    int m_rate = 0;
    int m_channels = 0;
};

} // namespace tabard::pipeline::av
