#include "pipeline/media/read/media_reader.h"

#include "pipeline/media/av.h"
#include "pipeline/media/picture_converter.h"
#include "pipeline/media/read/picture_stream.h"
#include "pipeline/media/read/rising_clock.h"
#include "pipeline/media/read/stamp_choice.h"
#include "pipeline/time/timecode.h"

#include <algorithm>
#include <array>
#include <atomic>
#include <cmath>
#include <deque>
#include <utility>

#include <fmt/format.h>

namespace tabard::pipeline {

struct MediaReader::Impl {
    MediaInfo info;
    av::Input input;
    std::atomic<std::int64_t> concealed = 0; ///< by the decoder's own count
    av::CodecHandle decoder;
    av::PictureConverter converter;
    std::stop_token stop;
    av::PacketHandle packet = av::make_packet();
    std::deque<std::unique_ptr<av::Frame>> waiting; ///< decoded; each has its duration once the next one is there
    std::shared_ptr<AVBufferPool> copies;
    std::array<int, 3> copies_shape{}; ///< format, width, height
    std::optional<StampChoice> stamps;
    std::optional<RisingClock> times;
    std::unique_ptr<av::Frame> held; ///< decoded; the time after its own is needed to know its own
    double first_aspect = 0;         ///< of a sample; 0 before the first picture
    bool shape_noted = false;
    std::int64_t packets_fed = 0;
    std::int64_t pictures_made = 0;
    std::int64_t flagged = 0; ///< pictures that say of themselves that they are concealed
    bool sought = false;
    bool packets_ended = false;
    bool any_picture = false;
    ReadDamage damage;
    std::vector<CodedSize> sizes;

    AVStream* stream() const { return input.stream(info.video->stream); }
    std::filesystem::path const& path() const { return info.path; }

    std::int64_t nominal_ticks() const
    {
        FrameRate const rate = info.video->rate;
        return std::max<std::int64_t>(1, av_rescale_q(1, {rate.den, rate.num}, stream()->time_base));
    }

    void note_size()
    {
        if (packet->pts != AV_NOPTS_VALUE)
            sizes.push_back({av::time_of(packet->pts - input.zero_ticks(stream()), stream()->time_base), packet->size,
                             (packet->flags & AV_PKT_FLAG_KEY) != 0});
    }

    Result<void> feed()
    {
        int errors = 0;
        while (!packets_ended) {
            av_packet_unref(packet.get());
            int const code = av_read_frame(input.handle.get(), packet.get());
            if (code == AVERROR_EXIT || stop.stop_requested())
                return av::error(AVERROR_EXIT, "", path());
            if (code < 0) {
                packets_ended = code == AVERROR_EOF || ++errors >= av::kReadErrorsInARow;
                damage.cut_short = damage.cut_short || code != AVERROR_EOF;
                continue;
            }
            if (packet->stream_index != info.video->stream)
                continue;
            if ((packet->flags & AV_PKT_FLAG_DISCARD) == 0) {
                ++packets_fed;
                note_size();
            }
            if (avcodec_send_packet(decoder.get(), packet.get()) < 0)
                ++damage.broken_packets;
            return {};
        }
        avcodec_send_packet(decoder.get(), nullptr);
        return {};
    }

    // Some damage makes the H.264 and HEVC decoders drop a picture without an error. Their packets hold one picture
    // each.
    void count_lost()
    {
        bool const one_each = decoder->codec_id == AV_CODEC_ID_H264 || decoder->codec_id == AV_CODEC_ID_HEVC;
        std::int64_t const lost = packets_fed - pictures_made;
        bool const all_decoded = decoder->skip_frame < AVDISCARD_NONKEY;
        if (one_each && all_decoded && !sought)
            damage.broken_packets = std::max(damage.broken_packets, lost);
    }

    Result<av::FrameHandle> decode()
    {
        av::FrameHandle frame = av::make_frame();
        for (;;) {
            int const code = avcodec_receive_frame(decoder.get(), frame.get());
            if (code == 0) {
                ++pictures_made;
                return frame;
            }
            if (code == AVERROR_EOF) {
                count_lost();
                return av::FrameHandle{};
            }
            if (code == AVERROR(EAGAIN)) {
                TRY_VOID(feed());
                continue;
            }
            ++damage.broken_packets;
            if (stop.stop_requested())
                return av::error(AVERROR_EXIT, "", path());
        }
    }

    /// As the file says it, in film time; AV_NOPTS_VALUE where it says none that can be one.
    std::int64_t ticks_of(AVFrame const& frame)
    {
        auto const said = [this](std::int64_t stamp) {
            bool const known = stamp != AV_NOPTS_VALUE && av::is_credible(stamp, stream()->time_base);
            return known ? std::optional(stamp - input.zero_ticks(stream())) : std::nullopt;
        };
        return stamps->choose(said(frame.pts), said(frame.pkt_dts)).value_or(AV_NOPTS_VALUE);
    }

    // Parameter sets may change on the way, as where two recordings were joined. The first picture's own word for its
    // pixels stands for what the container says of them.
    double wider_than_film(AVFrame const& frame)
    {
        auto const width_of = [](AVRational aspect) { return aspect.num > 0 && aspect.den > 0 ? av_q2d(aspect) : 1; };
        if (first_aspect == 0)
            first_aspect = width_of(frame.sample_aspect_ratio);
        double const pixel = width_of(frame.sample_aspect_ratio) / first_aspect;
        SizePx const film = info.video->stored;
        return pixel * frame.width * film.height / (static_cast<double>(frame.height) * film.width);
    }

    void note_other_shape(Time at)
    {
        if (!shape_noted)
            info.notes.push_back(fmt::format("{}: from {} on frames have another shape: they are shown whole, between "
                                             "black edges",
                                             path().string(), print_time(at, 1)));
        shape_noted = true;
    }

    void use_pool_for(AVFrame const& frame)
    {
        std::array<int, 3> const shape{frame.format, frame.width, frame.height};
        if (copies && shape == copies_shape)
            return;
        copies = av::make_picture_pool(static_cast<AVPixelFormat>(frame.format), frame.width, frame.height);
        copies_shape = shape;
    }

    /// The next picture with the time that the file says; its duration is not yet known.
    Result<std::unique_ptr<av::Frame>> read()
    {
        TRY_ASSIGN(auto frame, decode());
        if (!frame)
            return std::unique_ptr<av::Frame>{};
        if (frame->decode_error_flags != 0 || (frame->flags & AV_FRAME_FLAG_CORRUPT) != 0)
            ++flagged;
        auto picture = std::make_unique<av::Frame>();
        picture->ticks = ticks_of(*frame);
        picture->duration_ticks = frame->pkt_duration > 0 ? frame->pkt_duration : nominal_ticks();
        picture->clock = stream()->time_base;
        double const wider = wider_than_film(*frame);
        TRY_ASSIGN(picture->handle, converter.convert(std::move(frame), path(), wider));
        if (std::abs(wider - 1) >= av::kSameShape)
            note_other_shape(av::time_of(std::max<std::int64_t>(0, picture->ticks), picture->clock));
        use_pool_for(*picture->handle);
        picture->copies = copies;
        return picture;
    }

    /// The next picture with its time; its duration is not yet known.
    Result<std::unique_ptr<av::Frame>> read_settled()
    {
        if (!held) {
            TRY_ASSIGN(held, read());
        }
        if (!held)
            return std::unique_ptr<av::Frame>{};
        TRY_ASSIGN(auto following, read());
        auto const said = [](av::Frame const* frame) {
            return frame && frame->ticks != AV_NOPTS_VALUE ? std::optional(frame->ticks) : std::nullopt;
        };
        held->ticks = times->settle(said(held.get()), said(following.get()), nominal_ticks());
        if (times->restart())
            return clock_restarted(*times->restart(), path());
        return std::exchange(held, std::move(following));
    }

    /// Decodes until `count` pictures wait, or all there are.
    Result<void> look_ahead(std::size_t count)
    {
        while (waiting.size() < count) {
            TRY_ASSIGN(auto picture, read_settled());
            if (!picture)
                return {};
            if (!waiting.empty())
                waiting.back()->duration_ticks = picture->ticks - waiting.back()->ticks;
            waiting.push_back(std::move(picture));
        }
        return {};
    }

    /// The last picture is on screen until the film ends: its packet may say otherwise, as its decoding time tells the
    /// length in MP4. What is less than two of the movie's milliseconds is rounding.
    void stay_to_the_end(av::Frame& last) const
    {
        AVRational const clock = last.clock;
        std::int64_t const rounding = to_ticks(from_ticks(2, 1, 1000), clock.num, clock.den);
        std::int64_t const end = to_ticks(info.video->start + info.video->duration, clock.num, clock.den);
        if (end > last.ticks && std::abs(end - last.ticks - last.duration_ticks) > rounding)
            last.duration_ticks = end - last.ticks;
    }

    Result<std::unique_ptr<av::Frame>> advance()
    {
        TRY_VOID(look_ahead(2));
        if (waiting.empty())
            return std::unique_ptr<av::Frame>{};
        auto current = std::move(waiting.front());
        waiting.pop_front();
        any_picture = true;
        if (waiting.empty())
            stay_to_the_end(*current);
        return current;
    }

    /// To a keyframe at or before `ticks`. False if the container has none there.
    Result<bool> seek_container(std::int64_t ticks)
    {
        int const code = av_seek_frame(input.handle.get(), info.video->stream, ticks + input.zero_ticks(stream()),
                                       AVSEEK_FLAG_BACKWARD);
        if (code == AVERROR_EXIT)
            return av::error(code, "", path());
        avcodec_flush_buffers(decoder.get());
        waiting.clear();
        sought = true;
        packets_ended = false;
        held.reset();
        times->jump();
        return code >= 0;
    }

    /// Drops pictures that are over at `target`. False if the first one begins after it.
    Result<bool> skip_to(std::int64_t target)
    {
        TRY_VOID(look_ahead(2));
        if (waiting.empty() || waiting.front()->ticks > target)
            return false;
        while (waiting.size() > 1 && waiting[1]->ticks <= target) {
            waiting.pop_front();
            TRY_VOID(look_ahead(2));
        }
        return true;
    }
};

Result<MediaReader> MediaReader::open(std::filesystem::path const& path, ReadOptions const& options)
{
    TRY_ASSIGN(auto film, CodedFilm::open(path, options.stop));
    return open(std::move(film), options);
}

Result<MediaReader> MediaReader::open(CodedFilm film, ReadOptions const& options)
{
    TRY_VOID(film.pictures().rewind());
    auto impl = std::make_unique<Impl>();
    impl->info = film.info();
    impl->input = film.pictures().take_input();
    VideoTrack const& video = *impl->info.video;
    AVCodecParameters const& parameters = *impl->stream()->codecpar;
    auto const form = av::planar_yuv_for(static_cast<AVPixelFormat>(parameters.format));
    AVRational const clock = impl->stream()->time_base;
    impl->stamps.emplace(to_ticks(ClockWatch::kDisorder, clock.num, clock.den));
    impl->times.emplace(clock.num, clock.den);
    impl->converter = av::PictureConverter{form, options.scaled.value_or(video.stored), video.colour.matrix};
    TRY_ASSIGN(impl->decoder, av::open_decoder(impl->stream(), options.threads, impl->path(), &impl->concealed));
    if (options.thoroughness != Thoroughness::exact)
        impl->decoder->skip_loop_filter = AVDISCARD_ALL;
    if (options.thoroughness == Thoroughness::keyframes)
        impl->decoder->skip_frame = AVDISCARD_NONKEY;
    impl->stop = options.stop;
    return MediaReader{std::move(impl)};
}

MediaReader::MediaReader(std::unique_ptr<Impl> impl) : m_impl(std::move(impl)) {}
MediaReader::MediaReader(MediaReader&&) noexcept = default;
MediaReader& MediaReader::operator=(MediaReader&&) noexcept = default;
MediaReader::~MediaReader() = default;

MediaInfo const& MediaReader::info() const { return m_impl->info; }
VideoTrack const& MediaReader::video() const { return *m_impl->info.video; }
ReadDamage MediaReader::damage() const
{
    ReadDamage damage = m_impl->damage;
    damage.repaired_times = m_impl->times->repaired();
    damage.concealed_pictures = std::max<std::int64_t>(m_impl->flagged, m_impl->concealed);
    return damage;
}

std::vector<CodedSize> const& MediaReader::coded_sizes() const { return m_impl->sizes; }

Result<std::optional<DecodedPicture>> MediaReader::next()
{
    TRY_ASSIGN(auto frame, m_impl->advance());
    if (frame)
        return std::optional<DecodedPicture>{DecodedPicture{std::move(frame)}};
    if (!m_impl->any_picture)
        return Error{ErrorKind::decode, fmt::format("{}: not one frame could be decoded", m_impl->path().string())};
    return std::optional<DecodedPicture>{};
}

Result<void> MediaReader::seek(Time time)
{
    AVRational const clock = m_impl->stream()->time_base;
    std::int64_t ticks = to_ticks(time, clock.num, clock.den);
    if (av::time_of(ticks, clock) > time)
        --ticks;
    // Containers index decode times, which may lie before a keyframe's own: go further back until it is early enough.
    for (int const seconds_back : {0, 1, 10}) {
        std::int64_t const from = ticks - av_rescale_q(seconds_back, {1, 1}, clock);
        TRY_ASSIGN(bool const moved, m_impl->seek_container(from));
        if (!moved)
            break;
        TRY_ASSIGN(bool const early_enough, m_impl->skip_to(ticks));
        if (early_enough)
            return {};
    }
    TRY_ASSIGN(bool const moved, m_impl->seek_container(std::min<std::int64_t>(0, m_impl->stream()->start_time)));
    if (!moved)
        return Error{ErrorKind::decode, fmt::format("{}: cannot seek in this file", m_impl->path().string())};
    TRY_ASSIGN([[maybe_unused]] bool const found, m_impl->skip_to(ticks));
    return {};
}

} // namespace tabard::pipeline
