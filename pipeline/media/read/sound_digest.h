#pragma once
// Included by this folder's .cpp files alone.
#include "pipeline/media/av.h"
#include "pipeline/media/digest.h"

#include <cstdint>
#include <span>

namespace tabard::pipeline::av {

/// A fingerprint of a sound track: its form and the bytes of its packets, in order. Decoders make the same of equal
/// ones.
class SoundDigest {
public:
    explicit SoundDigest(AVCodecParameters const& sound)
    {
        m_digest.add(std::int64_t{sound.codec_id}).add(std::int64_t{sound.codec_tag});
        m_digest.add(std::int64_t{sound.sample_rate}).add(std::int64_t{sound.ch_layout.nb_channels});
        m_digest.add(std::as_bytes(std::span(sound.extradata, static_cast<std::size_t>(sound.extradata_size))));
    }
    void add(AVPacket const& packet)
    {
        m_digest.add(std::as_bytes(std::span(packet.data, static_cast<std::size_t>(packet.size))));
    }
    /// Nothing may be added after it.
    std::string hex() { return m_digest.hex(); }

private:
    Digest m_digest;
};

} // namespace tabard::pipeline::av
