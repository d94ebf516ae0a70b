#include "pipeline/media/write/sound_proof.h"

namespace tabard::pipeline::av {

SoundProof SoundProof::of(AVStream const& stream, AVCodecParameters const& sound, std::filesystem::path const& path)
{
    SoundProof proof;
    proof.m_rate = sound.sample_rate;
    proof.m_channels = sound.ch_layout.nb_channels;
    auto decoder = open_decoder(&stream, 1, path);
    if (!decoder)
        return proof;
    proof.m_decoder = *std::move(decoder);
    // These two keep a checksum in each frame, and hide what is wrong where they are not told to look.
    if (sound.codec_id == AV_CODEC_ID_AC3 || sound.codec_id == AV_CODEC_ID_EAC3)
        proof.m_decoder->err_recognition = AV_EF_CRCCHECK | AV_EF_EXPLODE;
    return proof;
}

bool SoundProof::is_whole(AVPacket const& packet)
{
    if (!m_decoder)
        return true;
    bool whole = avcodec_send_packet(m_decoder.get(), &packet) >= 0;
    auto const frame = make_frame();
    while (true) {
        int const code = avcodec_receive_frame(m_decoder.get(), frame.get());
        if (code == AVERROR(EAGAIN) || code == AVERROR_EOF)
            return whole;
        whole = whole && code >= 0 && frame->sample_rate == m_rate && frame->ch_layout.nb_channels == m_channels;
        if (code < 0)
            return false;
    }
}

} // namespace tabard::pipeline::av
