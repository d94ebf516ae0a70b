#include "pipeline/media/write/output.h"

#include "pipeline/media/write/encoder.h"

#include <algorithm>
#include <cstdint>
#include <numeric>

#include <fmt/format.h>

namespace tabard::pipeline::av {
namespace {

int asked_to_stop(void* opaque) noexcept { return static_cast<std::stop_token*>(opaque)->stop_requested() ? 1 : 0; }

// Edit lists say late starts on the movie's clock: one that has whole ticks for every track, if it need not be very
// fine; else one that has them for the film and is finer than a microsecond.
std::int64_t movie_clock(AVFormatContext const& context, AVRational film)
{
    constexpr std::int64_t kFinest = 10'000'000;
    constexpr std::int64_t kMicrosecond = 1'000'000;
    std::int64_t common = film.den;
    for (unsigned i = 0; i < context.nb_streams && common <= kFinest; ++i)
        if (context.streams[i]->time_base.den > 0)
            common = std::lcm(common, std::int64_t{context.streams[i]->time_base.den});
    if (common <= kFinest)
        return common;
    std::int64_t const times = std::max<std::int64_t>(1, (kMicrosecond + film.den - 1) / film.den);
    return std::min<std::int64_t>(film.den * times, INT32_MAX);
}

// Opus begins before 0 by what its decoder leaves out. Matroska counts from there, and says beside the times how much
// it is (CodecDelay). libavformat 5.1 leaves the first to its callers: else it moves all other tracks, and the pictures
// away from their sound.
bool has_codec_delay(AVStream const* stream)
{
    return stream->codecpar->codec_id == AV_CODEC_ID_OPUS && stream->codecpar->initial_padding > 0;
}

} // namespace

bool is_mov_family(Container container) { return container == Container::mp4 || container == Container::mov; }

void OutputReleaser::operator()(AVFormatContext* context) const noexcept
{
    if (context->pb)
        avio_closep(&context->pb);
    avformat_free_context(context);
}

Result<Output> Output::create(std::filesystem::path const& path, Container container, std::stop_token stop)
{
    Output output;
    output.path = path;
    output.container = container;
    output.stop = std::make_unique<std::stop_token>(std::move(stop));
    AVFormatContext* raw = nullptr;
    if (avformat_alloc_output_context2(&raw, muxer(container), nullptr, nullptr) < 0)
        throw std::bad_alloc();
    output.handle.reset(raw);
    if (!is_mov_family(container))
        raw->flags |= AVFMT_FLAG_BITEXACT; // else Matroska numbers files and tracks at random
    raw->interrupt_callback = {asked_to_stop, output.stop.get()};
    // FLAC and Opus in MP4 are written only if experimental forms are allowed; both are published registrations.
    raw->strict_std_compliance = FF_COMPLIANCE_EXPERIMENTAL;
    int const code =
        avio_open2(&raw->pb, ("file:" + path.string()).c_str(), AVIO_FLAG_WRITE, &raw->interrupt_callback, nullptr);
    if (code < 0) {
        Error why = error(code, "cannot write", path);
        if (why.kind != ErrorKind::interrupted)
            why.kind = ErrorKind::io;
        return why;
    }
    return output;
}

AVStream* Output::add_stream()
{
    AVStream* stream = avformat_new_stream(handle.get(), nullptr);
    if (!stream)
        throw std::bad_alloc();
    return stream;
}

Error Output::write_error(int code) const
{
    Error why = error(code, "cannot write", path);
    if (why.kind != ErrorKind::interrupted)
        why.kind = ErrorKind::io;
    return why;
}

Result<void> Output::write_header(AVRational clock)
{
    Options options;
    if (is_mov_family(container))
        options.set("movie_timescale", std::to_string(movie_clock(*handle, clock)));
    else if (std::any_of(handle->streams, handle->streams + handle->nb_streams, has_codec_delay))
        handle->avoid_negative_ts = 0;
    if (int const code = avformat_write_header(handle.get(), options.get()); code < 0) {
        if (handle->pb->error < 0)
            return write_error(handle->pb->error);
        return Error{code == AVERROR_EXIT ? ErrorKind::interrupted : ErrorKind::unsupported,
                     fmt::format("{}: {} cannot hold this film: {}", path.string(), name(container), message(code))};
    }
    return {};
}

void Output::count_from_codec_delay(AVPacket* packet) const
{
    AVStream const* const to = stream(packet->stream_index);
    if (is_mov_family(container) || !has_codec_delay(to))
        return;
    std::int64_t const delay = av_rescale_q(to->codecpar->initial_padding, {1, 48000}, to->time_base);
    for (std::int64_t* time : {&packet->pts, &packet->dts})
        if (*time != AV_NOPTS_VALUE)
            *time = std::max<std::int64_t>(*time + delay, 0);
}

Result<void> Output::put(AVPacket* packet)
{
    count_from_codec_delay(packet);
    if (int const code = av_interleaved_write_frame(handle.get(), packet); code < 0)
        return write_error(code);
    return {};
}

Result<bool> Output::offer(AVPacket* packet)
{
    count_from_codec_delay(packet);
    int const code = av_interleaved_write_frame(handle.get(), packet);
    if (code == AVERROR_EXIT || (code < 0 && handle->pb->error < 0))
        return write_error(code);
    return code >= 0;
}

Result<std::int64_t> Output::finish()
{
    if (int const code = av_write_trailer(handle.get()); code < 0)
        return write_error(code);
    if (handle->pb->error < 0)
        return write_error(handle->pb->error);
    std::int64_t const size = avio_size(handle->pb);
    if (int const code = avio_closep(&handle->pb); code < 0)
        return write_error(code);
    // What the headers of a damaged film say is copied: nobody is given one that does not open.
    if (auto const opened = open_container(path, *stop); !opened)
        return opened.error().kind == ErrorKind::interrupted ? opened.error() : unreadable();
    return size;
}

Error Output::unreadable() const
{
    return {ErrorKind::decode, fmt::format("{}: what was written cannot be opened again: the footage is damaged, or {} "
                                           "cannot hold it; save the footage as one MP4 with another program first",
                                           path.string(), name(container))};
}

Result<void> check_target(std::filesystem::path const& target, MediaInfo const& source, Container container)
{
    std::error_code ignored;
    if (std::filesystem::equivalent(target, source.path, ignored))
        return Error{ErrorKind::invalid_input,
                     fmt::format("{}: this is the film itself; write to another name", target.string())};
    if (!is_mov_family(container) && source.video->orientation != Orientation{})
        return Error{ErrorKind::unsupported,
                     fmt::format("{}: {} cannot say that the film is turned or mirrored; write MP4 or MOV",
                                 target.string(), name(container))};
    return {};
}

} // namespace tabard::pipeline::av
