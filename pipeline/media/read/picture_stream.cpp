#include "pipeline/media/read/picture_stream.h"

namespace tabard::pipeline::av {

Result<PictureStream> PictureStream::open(MediaInfo const& film, std::stop_token stop)
{
    PictureStream pictures;
    TRY_ASSIGN(pictures.m_input, open_input(film.path, std::move(stop)));
    pictures.m_packet = make_packet();
    pictures.m_stream = film.video->stream;
    pictures.m_path = film.path;
    discard_all_but(pictures.m_input, pictures.m_stream);
    return pictures;
}

Result<std::optional<PictureStream::Next>> PictureStream::next()
{
    AVPacket* const packet = m_packet.get();
    do {
        av_packet_unref(packet);
        int const code = av_read_frame(m_input.handle.get(), packet);
        if (code == AVERROR_EOF)
            return std::optional<Next>{};
        if (code < 0)
            return error(code, "cannot read", m_path);
    } while (packet->stream_index != m_stream);

    std::int64_t const zero = m_input.zero_ticks(m_input.stream(m_stream));
    auto const* const bytes = reinterpret_cast<std::byte const*>(packet->data);
    Next next;
    next.shown_known = packet->pts != AV_NOPTS_VALUE;
    next.decoded_known = packet->dts != AV_NOPTS_VALUE;
    next.whole = (packet->flags & (AV_PKT_FLAG_DISCARD | AV_PKT_FLAG_CORRUPT)) == 0;
    next.left_out = (packet->flags & AV_PKT_FLAG_DISCARD) != 0;
    next.key = (packet->flags & AV_PKT_FLAG_KEY) != 0;
    next.picture = {next.shown_known ? packet->pts - zero : 0,
                    next.decoded_known ? packet->dts - zero : 0,
                    packet->duration,
                    {bytes, bytes + packet->size}};
    return next;
}

} // namespace tabard::pipeline::av
