#include "pipeline/media/write/film_writer.h"

#include "overlay/base/precondition.h"
#include "pipeline/media/av.h"
#include "pipeline/media/picture_converter.h"
#include "pipeline/media/write/encoder.h"
#include "pipeline/media/write/output.h"
#include "pipeline/media/write/side_copy.h"

#include <algorithm>
#include <cmath>
#include <map>

#include <fmt/format.h>

namespace tabard::pipeline {
namespace {

// What the container says of the shape of a sample wins over what stands in the pictures, as with players. A draft
// whose size was rounded keeps the shape of the whole picture, to a pixel.
AVRational aspect_of(VideoTrack const& video, AVFrame const& picture)
{
    AVRational const aspect{video.sample_aspect.num, video.sample_aspect.den};
    AVRational const widened = av_mul_q({video.stored.width, video.stored.height}, {picture.height, picture.width});
    if (std::abs(av_q2d(widened) - 1) * std::max(picture.width, picture.height) >= 1)
        return av_mul_q(aspect, widened);
    bool const said = video.sample_aspect != Ratio{} || picture.sample_aspect_ratio.num > 0;
    return said ? aspect : AVRational{0, 1};
}

} // namespace

struct FilmWriter::Impl {
    MediaInfo source;
    WriteOptions options;
    av::Output output;
    av::SideCopy side;
    av::CodecHandle encoder;
    av::PictureConverter converter; ///< for codecs that know fewer pixel formats than the source has
    av::PacketHandle packet = av::make_packet();
    av::PacketHandle held = av::make_packet();      ///< coded, and not written until it is known whether it is the last
    std::map<std::int64_t, std::int64_t> durations; ///< of pictures inside the encoder, by time
    std::int64_t from_ticks = 0;
    std::int64_t last_ticks = AV_NOPTS_VALUE;
    std::int64_t first_ticks = 0;
    std::int64_t end_ticks = 0; ///< of the last picture
    std::int64_t first_decoded = AV_NOPTS_VALUE;
    WriteReport report;

    AVStream* film() const { return output.stream(side.film_stream()); }

    Result<void> start(av::Frame const& first)
    {
        from_ticks = to_ticks(options.from, first.clock.num, first.clock.den);
        bool const global_header = (output->oformat->flags & AVFMT_GLOBALHEADER) != 0;
        bool const interlaced = stays_interlaced(*first.handle);
        TRY_ASSIGN(encoder, av::open_encoder(options.encoder,
                                             {first.handle.get(), aspect_of(*source.video, *first.handle), first.clock,
                                              source.video->rate, interlaced, global_header, options.for_browsers},
                                             output.path));
        if (encoder->pix_fmt != first.handle->format)
            report.notes.push_back(fmt::format("The {} encoder cannot keep {}: frames become {}.",
                                               name(options.encoder.codec),
                                               av_get_pix_fmt_name(static_cast<AVPixelFormat>(first.handle->format)),
                                               av_get_pix_fmt_name(encoder->pix_fmt)));
        converter =
            av::PictureConverter{encoder->pix_fmt, {encoder->width, encoder->height}, source.video->colour.matrix};
        avcodec_parameters_from_context(film()->codecpar, encoder.get());
        film()->time_base = encoder->time_base;
        film()->avg_frame_rate = encoder->framerate;
        film()->sample_aspect_ratio = encoder->sample_aspect_ratio;
        if (options.encoder.codec == VideoCodec::hevc && options.container != Container::mkv)
            film()->codecpar->codec_tag = MKTAG('h', 'v', 'c', '1'); // the form players of one large maker insist on
        av::add_hdr_side_data(*film(), *first.handle);
        return output.write_header(film()->time_base);
    }

    // DV says of each picture alone that it is interlaced. A draft has lines of both fields in one.
    bool stays_interlaced(AVFrame const& first)
    {
        bool const fields = source.video->interlaced || first.interlaced_frame != 0;
        if (!fields || options.for_browsers || first.height != source.video->stored.height)
            return false;
        if (options.encoder.codec == VideoCodec::h264)
            return true;
        report.notes.push_back(fmt::format("The footage is interlaced, and {} frames are not: combs stay in what "
                                           "moves. Choose the codec h264.",
                                           name(options.encoder.codec)));
        return false;
    }

    Result<void> send(AVFrame const* frame)
    {
        if (int const code = avcodec_send_frame(encoder.get(), frame); code < 0 && code != AVERROR_EOF)
            return av::error(code, "cannot encode a frame", output.path);
        for (;;) {
            int const code = avcodec_receive_packet(encoder.get(), packet.get());
            if (code == AVERROR(EAGAIN) || code == AVERROR_EOF)
                return {};
            if (code < 0)
                return av::error(code, "cannot encode a frame", output.path);
            TRY_VOID(put_packet());
        }
    }

    Result<void> write(av::Frame& given)
    {
        std::int64_t start = given.ticks;
        std::int64_t end = given.ticks + given.duration_ticks;
        if (options.from > Time{})
            start = std::max(start, from_ticks);
        if (options.to)
            end = std::min(end, to_ticks(*options.to, given.clock.num, given.clock.den));
        if (end <= start)
            return {};
        TRY_ASSIGN(auto frame, converter.convert(std::move(given.handle), output.path));
        frame->pts = start - from_ticks;
        frame->pict_type = AV_PICTURE_TYPE_NONE;
        PRECONDITION(last_ticks == AV_NOPTS_VALUE || frame->pts > last_ticks);
        if (last_ticks == AV_NOPTS_VALUE)
            first_ticks = frame->pts;
        last_ticks = frame->pts;
        end_ticks = end - from_ticks;
        durations[frame->pts] = end - start;
        return send(frame.get());
    }

    Result<void> put_packet()
    {
        if (auto const found = durations.find(packet->pts); found != durations.end()) {
            packet->duration = found->second;
            durations.erase(found);
        }
        if (first_decoded == AV_NOPTS_VALUE)
            first_decoded = packet->dts;
        TRY_VOID(put_held());
        av_packet_move_ref(held.get(), packet.get());
        ++report.pictures;
        return {};
    }

    Result<void> put_held()
    {
        if (!held->buf)
            return {};
        TRY_VOID(side.copy_until(output, av::time_of(held->dts, encoder->time_base)));
        held->stream_index = film()->index;
        av_packet_rescale_ts(held.get(), encoder->time_base, film()->time_base);
        return output.put(held.get());
    }

    /// MP4 counts a track's length in decoding order: where the last picture shown stays for long and another one is
    /// decoded last, that one fills it up. It does not last beyond the track.
    void fill_up_to_the_end()
    {
        if (!held->buf || options.container == Container::mkv)
            return;
        std::int64_t const missing = (end_ticks - first_ticks) - (held->dts - first_decoded);
        held->duration = std::max(held->duration, std::min(missing, end_ticks - held->pts));
    }
};

Result<FilmWriter> FilmWriter::create(std::filesystem::path const& target, MediaInfo const& source,
                                      WriteOptions const& options)
{
    PRECONDITION(source.video);
    TRY_VOID(check_settings(options.encoder, options.container));
    TRY_VOID(av::check_target(target, source, options.container));
    auto impl = std::make_unique<Impl>();
    impl->source = source;
    impl->options = options;
    TRY_ASSIGN(impl->output, av::Output::create(target, options.container, options.stop));
    TRY_ASSIGN(impl->side, av::SideCopy::open(source, options, impl->output));
    return FilmWriter{std::move(impl)};
}

FilmWriter::FilmWriter(std::unique_ptr<Impl> impl) : m_impl(std::move(impl)) {}
FilmWriter::FilmWriter(FilmWriter&&) noexcept = default;
FilmWriter& FilmWriter::operator=(FilmWriter&&) noexcept = default;
FilmWriter::~FilmWriter() = default;

Result<void> FilmWriter::write(DecodedPicture picture)
{
    if (m_impl->options.stop.stop_requested())
        return av::error(AVERROR_EXIT, "", m_impl->output.path);
    av::Frame& given = picture.frame();
    if (!m_impl->encoder)
        TRY_VOID(m_impl->start(given));
    return m_impl->write(given);
}

Result<WriteReport> FilmWriter::finish()
{
    if (!m_impl->encoder)
        return Error{ErrorKind::invalid_input,
                     fmt::format("{}: there is no frame in this part of the film", m_impl->source.path.string())};
    TRY_VOID(m_impl->send(nullptr));
    m_impl->fill_up_to_the_end();
    TRY_VOID(m_impl->put_held());
    TRY_VOID(m_impl->side.copy_rest(m_impl->output));
    auto const side_notes = m_impl->side.notes();
    m_impl->report.notes.insert(m_impl->report.notes.begin(), side_notes.begin(), side_notes.end());
    TRY_ASSIGN(m_impl->report.bytes, m_impl->output.finish());
    return std::move(m_impl->report);
}

} // namespace tabard::pipeline
