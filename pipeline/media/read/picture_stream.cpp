#include "pipeline/media/read/picture_stream.h"

#include "pipeline/media/read/describe.h"

#include <new>
#include <span>

namespace tabard::pipeline::av {

Result<PictureStream> PictureStream::open(std::filesystem::path const& path, std::stop_token stop)
{
    PictureStream pictures;
    TRY_ASSIGN(pictures.m_input, open_input(path, std::move(stop)));
    TRY_ASSIGN(pictures.m_info, describe(pictures.m_input, path));
    if (!pictures.m_info.video)
        return no_video(pictures.m_info);
    pictures.m_packet = make_packet();
    discard_all_but(pictures.m_input, pictures.m_info.video->stream);
    return pictures;
}

// False at the end.
Result<bool> PictureStream::read_packet()
{
    AVPacket* const packet = m_packet.get();
    for (;;) {
        av_packet_unref(packet);
        int const code = av_read_frame(m_input.handle.get(), packet);
        if (code == AVERROR_EOF)
            return false;
        if (code < 0)
            return error(code, "cannot read", m_info.path);
        if (packet->stream_index == m_info.video->stream)
            return true;
        if (m_looks_at_others)
            note_sound();
    }
}

void PictureStream::note_sound()
{
    AVCodecParameters const& sound = *m_input.stream(m_packet->stream_index)->codecpar;
    if (sound.codec_type == AVMEDIA_TYPE_AUDIO)
        m_sound.try_emplace(m_packet->stream_index, sound).first->second.add(*m_packet);
}

SoundDigests PictureStream::take_sound()
{
    SoundDigests digests;
    for (auto& [stream, digest] : m_sound)
        digests[stream] = digest.hex();
    m_sound.clear();
    return digests;
}

Result<std::optional<PictureStream::Next>> PictureStream::next()
{
    TRY_ASSIGN(bool const there, read_packet());
    if (!there)
        return std::optional<Next>{};
    AVPacket const* const packet = m_packet.get();
    if (!m_first)
        m_first = Mark{packet->pts, packet->dts, packet->pos, packet->size};
    std::int64_t const zero = m_input.zero_ticks(&stream());
    Next next;
    next.shown_known = packet->pts != AV_NOPTS_VALUE;
    next.decoded_known = packet->dts != AV_NOPTS_VALUE;
    next.whole = (packet->flags & (AV_PKT_FLAG_DISCARD | AV_PKT_FLAG_CORRUPT)) == 0;
    next.left_out = (packet->flags & AV_PKT_FLAG_DISCARD) != 0;
    next.key = (packet->flags & AV_PKT_FLAG_KEY) != 0;
    next.picture = {next.shown_known ? packet->pts - zero : 0, next.decoded_known ? packet->dts - zero : 0,
                    packet->duration, bytes_of_packet()};
    return next;
}

// A share of the packet's own memory: passes that only look at pictures copy nothing.
SharedBytes PictureStream::bytes_of_packet() const
{
    if (av_packet_make_refcounted(m_packet.get()) < 0)
        throw std::bad_alloc();
    AVBufferRef* const memory = av_buffer_ref(m_packet->buf);
    if (!memory)
        throw std::bad_alloc();
    std::shared_ptr<void const> owner(memory, [](AVBufferRef* held) { av_buffer_unref(&held); });
    return {std::move(owner), std::as_bytes(std::span(m_packet->data, static_cast<std::size_t>(m_packet->size)))};
}

// Whether a seek leads to the first packet is seen by reading it, so there are two.
Result<bool> PictureStream::seek_to_first()
{
    std::int64_t const from = m_first->dts != AV_NOPTS_VALUE ? m_first->dts : m_first->pts;
    auto const seek = [&] {
        return from != AV_NOPTS_VALUE &&
               av_seek_frame(m_input.handle.get(), m_info.video->stream, from, AVSEEK_FLAG_BACKWARD) >= 0;
    };
    if (!seek())
        return false;
    TRY_ASSIGN(bool const there, read_packet());
    return there && m_packet->pts == m_first->pts && m_packet->pos == m_first->position &&
           m_packet->size == m_first->size && seek();
}

Result<void> PictureStream::rewind()
{
    if (!m_first)
        return {};
    TRY_ASSIGN(bool const back, seek_to_first());
    m_complaints_before = *m_input.complaints;
    if (back)
        return {};
    m_input.handle.reset(); // before its stop token
    TRY_ASSIGN(*this, open(m_info.path, *m_input.stop));
    return {};
}

Result<bool> PictureStream::seek(std::int64_t shown)
{
    if (!m_first)
        return false; // there would be no way back
    std::int64_t const to = shown + m_input.zero_ticks(&stream());
    int const code = av_seek_frame(m_input.handle.get(), m_info.video->stream, to, AVSEEK_FLAG_BACKWARD);
    if (code == AVERROR_EXIT)
        return error(code, "", m_info.path);
    return code >= 0;
}

void PictureStream::look_at_other_tracks(bool look)
{
    m_looks_at_others = look;
    for (unsigned i = 0; i < m_input->nb_streams; ++i)
        if (static_cast<int>(i) != m_info.video->stream)
            m_input->streams[i]->discard = look ? AVDISCARD_DEFAULT : AVDISCARD_ALL;
}

} // namespace tabard::pipeline::av
