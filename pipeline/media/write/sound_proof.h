#pragma once
// Damaged sound, told from whole. Included by this folder's .cpp files alone.
#include "pipeline/media/av.h"

namespace tabard::pipeline::av {

/// What a transport stream has lost leaves packets that look like sound of some form and are none. Other containers
/// keep packets apart, and say in advance what form their sound has, not always truly.
enum class SoundForm { proved, any };

/// Decodes the packets of a sound stream to see whether they are whole: muxers and players stumble over others. Noise
/// that is possible sound, as in PCM and mostly in Opus, passes.
class SoundProof {
public:
    /// `sound`: what is known of the stream. Proves nothing where there is no decoder for it.
    static SoundProof of(AVStream const& stream, AVCodecParameters const& sound, SoundForm form,
                         std::filesystem::path const& path);

    /// False for a packet that cannot be decoded, or to sound of another form than the stream's. With SoundForm::any
    /// all pass up to the first that can: it may be the decoder that does not know all of its codec.
    bool is_whole(AVPacket const& packet);
    /// Not one packet could be decoded of those that were tried.
    bool knows_nothing() const { return m_tried && !m_any; }
    bool knows_something() const { return m_any; }

private:
    bool decodes(AVPacket const& packet);

    CodecHandle m_decoder;
    SoundForm m_form = SoundForm::any;
    bool m_tried = false;
    bool m_any = false;
    int m_rate = 0;
    int m_channels = 0;
};

} // namespace tabard::pipeline::av
