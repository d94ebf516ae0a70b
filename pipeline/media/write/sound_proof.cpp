#include "pipeline/media/write/sound_proof.h"

namespace tabard::pipeline::av {

SoundProof SoundProof::of(AVStream const& stream, AVCodecParameters const& sound, SoundForm form,
                          std::filesystem::path const& path)
{
    SoundProof proof;
    proof.m_form = form;
    proof.m_rate = sound.sample_rate;
    proof.m_channels = sound.ch_layout.nb_channels;
    auto decoder = open_decoder(&stream, 1, path);
    if (!decoder)
        return proof;
    proof.m_decoder = *std::move(decoder);
    // These keep a checksum in each frame, and hide what is wrong where they are not told to look.
    if (sound.codec_id == AV_CODEC_ID_AC3 || sound.codec_id == AV_CODEC_ID_EAC3 || sound.codec_id == AV_CODEC_ID_FLAC)
        proof.m_decoder->err_recognition = AV_EF_CRCCHECK | AV_EF_EXPLODE;
    return proof;
}

bool SoundProof::is_whole(AVPacket const& packet)
{
    if (!m_decoder)
        return true;
    bool const whole = decodes(packet);
    m_tried = true;
    m_any = m_any || whole;
    return whole || (m_form == SoundForm::any && !m_any);
}

bool SoundProof::decodes(AVPacket const& packet)
{
    bool whole = avcodec_send_packet(m_decoder.get(), &packet) >= 0;
    auto const frame = make_frame();
    while (true) {
        int const code = avcodec_receive_frame(m_decoder.get(), frame.get());
        if (code == AVERROR(EAGAIN) || code == AVERROR_EOF)
            return whole;
        bool const as_said = frame->sample_rate == m_rate && frame->ch_layout.nb_channels == m_channels;
        whole = whole && code >= 0 && (as_said || m_form == SoundForm::any);
        if (code < 0)
            return false;
    }
}

} // namespace tabard::pipeline::av
