#include "pipeline/media/write/overlay_track.h"

#include "overlay/base/precondition.h"
#include "pipeline/files/output_folder.h"
#include "pipeline/media/av.h"
#include "pipeline/media/write/output.h"
#include "pipeline/media/write/straight_alpha.h"

#include <algorithm>
#include <cctype>
#include <map>
#include <optional>

#include <fmt/format.h>

namespace tabard::pipeline {
namespace {

struct CodecFacts {
    OverlayCodec codec;
    std::string_view name;
    char const* encoder;
    AVPixelFormat form;
    bool every_picture_alone; ///< a packet can stand for an equal picture later
};

constexpr CodecFacts kCodecs[] = {
    {OverlayCodec::prores, "prores", "prores_ks", AV_PIX_FMT_YUVA444P10, true},
    {OverlayCodec::rle, "rle", "qtrle", AV_PIX_FMT_ARGB, false},
    {OverlayCodec::vp9, "vp9", "libvpx-vp9", AV_PIX_FMT_YUVA420P, false},
    {OverlayCodec::png, "png", "png", AV_PIX_FMT_RGBA, true},
};

CodecFacts const& facts(OverlayCodec codec)
{
    return *std::find_if(std::begin(kCodecs), std::end(kCodecs),
                         [&](auto const& entry) { return entry.codec == codec; });
}

void set_options(av::Options& options, OverlayCodec codec)
{
    if (codec == OverlayCodec::prores) {
        options.set("profile", "4444");
        options.set("vendor", "apl0");
        options.set("alpha_bits", "16");
    } else if (codec == OverlayCodec::vp9) {
        options.set("b", "0");
        options.set("crf", "18");
        options.set("deadline", "good");
        options.set("cpu-used", "5");
        options.set("row-mt", "1");
        options.set("auto-alt-ref", "0"); // libvpx cannot do it with alpha
    }
}

Result<av::CodecHandle> open_encoder(OverlayTrack const& track, bool global_header, std::filesystem::path const& path)
{
    CodecFacts const& codec = facts(track.codec);
    AVCodec const* found = avcodec_find_encoder_by_name(codec.encoder);
    if (!found)
        return Error{ErrorKind::unsupported,
                     fmt::format("{}: this build of libavcodec has no {} encoder", path.string(), codec.encoder)};
    av::CodecHandle encoder{avcodec_alloc_context3(found)};
    if (!encoder)
        throw std::bad_alloc();
    encoder->width = track.size.width;
    encoder->height = track.size.height;
    encoder->pix_fmt = codec.form;
    encoder->time_base = {track.clock.num, track.clock.den};
    encoder->framerate = {track.rate.num, track.rate.den};
    encoder->sample_aspect_ratio = {1, 1};
    bool const yuv = codec.form == AV_PIX_FMT_YUVA420P || codec.form == AV_PIX_FMT_YUVA444P10;
    if (yuv) {
        encoder->colorspace = AVCOL_SPC_BT709;
        encoder->color_primaries = AVCOL_PRI_BT709;
        encoder->color_trc = AVCOL_TRC_BT709;
        encoder->color_range = AVCOL_RANGE_MPEG;
    }
    encoder->thread_count = 0;
    encoder->thread_type = FF_THREAD_SLICE; // a packet comes out for each picture that goes in
    if (global_header)
        encoder->flags |= AV_CODEC_FLAG_GLOBAL_HEADER;
    av::Options options;
    set_options(options, track.codec);
    if (int const code = avcodec_open2(encoder.get(), found, options.get()); code < 0)
        return av::error(
            code, fmt::format("the {} encoder refuses {} x {} frames", codec.name, track.size.width, track.size.height),
            path);
    return encoder;
}

Result<void> make_empty_folder(std::filesystem::path const& path)
{
    TRY_VOID(make_folder(path));
    std::error_code failed;
    if (!std::filesystem::is_empty(path, failed) || failed)
        return Error{ErrorKind::io, fmt::format("{}: this folder is not empty", path.string())};
    return {};
}

} // namespace

struct OverlayTrackWriter::Impl {
    std::filesystem::path path;
    OverlayTrack track;
    std::stop_token stop;
    std::optional<av::Output> output; ///< none for a folder of PNG files
    av::CodecHandle encoder;
    av::FrameHandle frame = av::make_frame(); ///< the last picture given
    av::PacketHandle packet = av::make_packet();
    av::PacketHandle last_packet =
        av::make_packet();                          ///< of the last coded picture, where it can stand for an equal one
    std::map<std::int64_t, std::int64_t> durations; ///< of pictures inside the encoder, by time
    std::optional<std::int64_t> waiting;            ///< the time of `frame`, not yet coded: its end is not known
    bool waiting_is_repeat = false;
    std::int64_t files = 0;
    std::int64_t bytes = 0;

    bool alone() const { return facts(track.codec).every_picture_alone; }

    Result<void> start()
    {
        if (track.codec == OverlayCodec::png) {
            TRY_VOID(make_empty_folder(path));
        } else {
            auto const container = track.codec == OverlayCodec::vp9 ? Container::webm : Container::mov;
            TRY_ASSIGN(output, av::Output::create(path, container, stop));
        }
        bool const global_header = output && ((*output)->oformat->flags & AVFMT_GLOBALHEADER) != 0;
        TRY_ASSIGN(encoder, open_encoder(track, global_header, path));
        if (!output)
            return {};
        AVStream* stream = output->add_stream();
        avcodec_parameters_from_context(stream->codecpar, encoder.get());
        stream->time_base = encoder->time_base;
        stream->avg_frame_rate = encoder->framerate;
        stream->sample_aspect_ratio = {1, 1};
        if (track.codec == OverlayCodec::vp9)
            av_dict_set(&stream->metadata, "alpha_mode", "1", 0);
        else if (!track.first_label.empty())
            av_dict_set(&stream->metadata, "timecode", track.first_label.c_str(), 0);
        return output->write_header(encoder->time_base);
    }

    Result<void> draw(std::span<std::uint32_t const> pixels)
    {
        if (!frame->buf[0]) {
            frame->format = encoder->pix_fmt;
            frame->width = track.size.width;
            frame->height = track.size.height;
            if (av_frame_get_buffer(frame.get(), 0) < 0)
                throw std::bad_alloc();
        }
        if (int const code = av_frame_make_writable(frame.get()); code < 0)
            return av::error(code, "cannot draw a frame", path);
        av::fill_straight(*frame, pixels);
        return {};
    }

    std::int64_t ticks_of(Time time) const { return to_ticks(time, track.clock.num, track.clock.den); }

    /// Codes the waiting picture, which stays until `end`.
    Result<void> flush(Time end)
    {
        if (stop.stop_requested())
            return av::error(AVERROR_EXIT, "", path);
        if (!waiting)
            return {};
        std::int64_t const start = *std::exchange(waiting, std::nullopt);
        durations[start] = std::max<std::int64_t>(1, ticks_of(end) - start);
        if (waiting_is_repeat && alone() && last_packet->size > 0) {
            if (av_packet_ref(packet.get(), last_packet.get()) < 0)
                throw std::bad_alloc();
            packet->pts = packet->dts = start;
            return put();
        }
        frame->pts = start;
        frame->pict_type = AV_PICTURE_TYPE_NONE;
        return send(frame.get());
    }

    Result<void> send(AVFrame const* picture)
    {
        if (int const code = avcodec_send_frame(encoder.get(), picture); code < 0 && code != AVERROR_EOF)
            return av::error(code, "cannot encode a frame", path);
        for (;;) {
            int const code = avcodec_receive_packet(encoder.get(), packet.get());
            if (code == AVERROR(EAGAIN) || code == AVERROR_EOF)
                return {};
            if (code < 0)
                return av::error(code, "cannot encode a frame", path);
            if (alone()) {
                av_packet_unref(last_packet.get());
                if (av_packet_ref(last_packet.get(), packet.get()) < 0)
                    throw std::bad_alloc();
            }
            TRY_VOID(put());
        }
    }

    Result<void> put()
    {
        if (auto const found = durations.find(packet->pts); found != durations.end()) {
            packet->duration = found->second;
            durations.erase(found);
        }
        if (!output)
            return put_file();
        packet->stream_index = 0;
        av_packet_rescale_ts(packet.get(), encoder->time_base, output->stream(0)->time_base);
        return output->put(packet.get());
    }

    Result<void> put_file()
    {
        std::string_view const picture(reinterpret_cast<char const*>(packet->data),
                                       static_cast<std::size_t>(packet->size));
        TRY_VOID(write_new_file(picture, path / fmt::format("{:06}.png", ++files)));
        bytes += packet->size;
        av_packet_unref(packet.get());
        return {};
    }
};

Result<OverlayCodec> parse_overlay_codec(std::string_view name)
{
    for (auto const& entry : kCodecs)
        if (entry.name == name)
            return entry.codec;
    return Error{ErrorKind::invalid_input, fmt::format("no overlay codec \"{}\": use prores, rle, vp9 or png", name)};
}

Result<OverlayCodec> overlay_codec_for(std::filesystem::path const& target)
{
    std::string extension = target.extension().string();
    std::transform(extension.begin(), extension.end(), extension.begin(),
                   [](unsigned char c) { return static_cast<char>(std::tolower(c)); });
    if (extension == ".mov")
        return OverlayCodec::prores;
    if (extension == ".webm")
        return OverlayCodec::vp9;
    if (extension.empty())
        return OverlayCodec::png;
    return Error{
        ErrorKind::invalid_input,
        fmt::format("{}: a track with transparency is a .mov, a .webm, or a folder of PNG files (a name without "
                    "extension)",
                    target.string())};
}

Result<OverlayTrackWriter> OverlayTrackWriter::create(std::filesystem::path const& target, OverlayTrack const& track,
                                                      std::stop_token stop)
{
    PRECONDITION(track.size.width > 0 && track.size.height > 0 && track.clock.num > 0 && track.clock.den > 0);
    auto impl = std::make_unique<Impl>();
    impl->path = target;
    impl->track = track;
    impl->stop = std::move(stop);
    TRY_VOID(impl->start());
    return OverlayTrackWriter{std::move(impl)};
}

OverlayTrackWriter::OverlayTrackWriter(std::unique_ptr<Impl> impl) : m_impl(std::move(impl)) {}
OverlayTrackWriter::OverlayTrackWriter(OverlayTrackWriter&&) noexcept = default;
OverlayTrackWriter& OverlayTrackWriter::operator=(OverlayTrackWriter&&) noexcept = default;
OverlayTrackWriter::~OverlayTrackWriter() = default;

Result<void> OverlayTrackWriter::write(std::span<std::uint32_t const> pixels, Time at)
{
    TRY_VOID(m_impl->flush(at));
    TRY_VOID(m_impl->draw(pixels));
    m_impl->waiting = m_impl->ticks_of(at);
    m_impl->waiting_is_repeat = false;
    return {};
}

Result<void> OverlayTrackWriter::repeat(Time at)
{
    PRECONDITION(m_impl->frame->buf[0]);
    TRY_VOID(m_impl->flush(at));
    m_impl->waiting = m_impl->ticks_of(at);
    m_impl->waiting_is_repeat = true;
    return {};
}

Result<std::int64_t> OverlayTrackWriter::finish(Time end)
{
    TRY_VOID(m_impl->flush(end));
    TRY_VOID(m_impl->send(nullptr));
    if (m_impl->output) {
        TRY_ASSIGN(m_impl->bytes, m_impl->output->finish());
    }
    return m_impl->bytes;
}

} // namespace tabard::pipeline
