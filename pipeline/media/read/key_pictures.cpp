#include "pipeline/media/read/key_pictures.h"

#include "pipeline/media/av.h"
#include "pipeline/media/decoded_picture.h"
#include "pipeline/media/picture_converter.h"

#include <optional>
#include <set>

#include <fmt/format.h>

namespace tabard::pipeline {
namespace {

// A demuxer may land a little before a picture that stands alone.
constexpr int kMostPacketsToKey = 300;

Result<av::Input> open_quickly(MediaInfo const& film, std::stop_token const& stop)
{
    auto const stream = static_cast<unsigned>(film.video->stream);
    TRY_ASSIGN(av::Input input, av::open_container(film.path, stop));
    if (stream < input->nb_streams && input->streams[stream]->codecpar->width > 0)
        return input;
    TRY_ASSIGN(input, av::open_input(film.path, stop)); // some containers tell what is in them by their packets alone
    if (stream >= input->nb_streams)
        return Error{ErrorKind::decode, fmt::format("{}: this is another film than before", film.path.string())};
    return input;
}

class KeyPictures {
public:
    static Result<KeyPictures> open(MediaInfo const& film, std::stop_token stop)
    {
        KeyPictures keys;
        keys.m_film = &film;
        TRY_ASSIGN(keys.m_input, open_quickly(film, stop));
        keys.m_stop = std::move(stop);
        AVStream* const stream = keys.stream();
        av::discard_all_but(keys.m_input, film.video->stream);
        TRY_ASSIGN(keys.m_decoder, av::open_decoder(stream, 1, film.path));
        keys.m_decoder->skip_loop_filter = AVDISCARD_ALL;
        keys.m_decoder->flags2 |= AV_CODEC_FLAG2_SHOW_ALL; // a picture that stands alone is whole after a seek, too
        keys.m_packet = av::make_packet();
        return keys;
    }

    /// The one at or before a time, or the first; none if it was given before or cannot be decoded.
    Result<av::FrameHandle> at(Time time)
    {
        TRY_VOID(learn_zero());
        int const code =
            av_seek_frame(m_input.handle.get(), m_film->video->stream, m_zero + ticks(time), AVSEEK_FLAG_BACKWARD);
        if (code == AVERROR_EXIT)
            return av::error(code, "", m_film->path);
        TRY_ASSIGN(bool const found, read_key());
        if (!found || !m_given.insert(stamp()).second)
            return av::FrameHandle{};
        return decode();
    }

    /// Of the latest one.
    std::size_t coded_bytes() const { return static_cast<std::size_t>(m_packet->size); }

    Time shown_at(AVFrame const& frame) const
    {
        std::int64_t const stamp = frame.pts != AV_NOPTS_VALUE ? frame.pts : frame.pkt_dts;
        bool const known = stamp != AV_NOPTS_VALUE && av::is_credible(stamp, stream()->time_base);
        return known ? av::time_of(stamp - m_zero, stream()->time_base) : m_film->video->start;
    }

private:
    std::int64_t stamp() const { return m_packet->pts != AV_NOPTS_VALUE ? m_packet->pts : m_packet->dts; }
    AVStream* stream() const { return m_input.stream(m_film->video->stream); }
    std::int64_t ticks(Time time) const { return to_ticks(time, stream()->time_base.num, stream()->time_base.den); }

    // The clock of the container where film time is 0: its first picture tells it.
    Result<void> learn_zero()
    {
        if (m_zero_known)
            return {};
        TRY_ASSIGN(bool const found, read_key());
        bool const known = found && av::is_credible(stamp(), stream()->time_base);
        m_zero = known ? stamp() - ticks(m_film->video->start) : 0;
        m_zero_known = true;
        return {};
    }

    Result<bool> read_key()
    {
        for (int i = 0; i < kMostPacketsToKey; ++i) {
            av_packet_unref(m_packet.get());
            int const code = av_read_frame(m_input.handle.get(), m_packet.get());
            if (code == AVERROR_EXIT || m_stop.stop_requested())
                return av::error(AVERROR_EXIT, "", m_film->path);
            if (code < 0)
                return false;
            if (m_packet->stream_index == m_film->video->stream && (m_packet->flags & AV_PKT_FLAG_KEY) != 0)
                return true;
        }
        return false;
    }

    // The decoder is told that nothing follows, so that it gives the picture at once.
    Result<av::FrameHandle> decode()
    {
        av::FrameHandle frame = av::make_frame();
        bool const decoded = avcodec_send_packet(m_decoder.get(), m_packet.get()) >= 0 &&
                             avcodec_send_packet(m_decoder.get(), nullptr) >= 0 &&
                             avcodec_receive_frame(m_decoder.get(), frame.get()) >= 0;
        avcodec_flush_buffers(m_decoder.get());
        if (!decoded || frame->decode_error_flags != 0 || (frame->flags & AV_FRAME_FLAG_CORRUPT) != 0)
            return av::FrameHandle{};
        if (!m_converter)
            m_converter.emplace(av::planar_yuv_for(static_cast<AVPixelFormat>(frame->format)), m_film->video->stored,
                                m_film->video->colour.matrix);
        return m_converter->convert(std::move(frame), m_film->path);
    }

    MediaInfo const* m_film = nullptr;
    std::stop_token m_stop;
    av::Input m_input;
    av::CodecHandle m_decoder;
    std::optional<av::PictureConverter> m_converter; ///< once the pixel format is known
    av::PacketHandle m_packet;
    bool m_zero_known = false;
    std::int64_t m_zero = 0;
    std::set<std::int64_t> m_given;
};

} // namespace

Result<void> look_at_key_pictures(MediaInfo const& film, std::span<int const> percent, KeyPictureWatcher const& watcher,
                                  std::stop_token stop)
{
    TRY_ASSIGN(auto keys, KeyPictures::open(film, std::move(stop)));
    bool any = false;
    for (int const place : percent) {
        TRY_ASSIGN(auto handle, keys.at(film.video->start + film.video->duration * place / 100));
        if (!handle)
            continue;
        any = true;
        Time const shown = keys.shown_at(*handle);
        auto frame = std::make_unique<av::Frame>();
        frame->handle = std::move(handle);
        DecodedPicture const picture(std::move(frame));
        if (!watcher({picture.view(), shown, keys.coded_bytes()}))
            break;
    }
    if (!any)
        return Error{ErrorKind::decode, fmt::format("{}: no frame could be decoded by itself", film.path.string())};
    return {};
}

} // namespace tabard::pipeline
