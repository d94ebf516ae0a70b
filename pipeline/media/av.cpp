#include "pipeline/media/av.h"

#include "overlay/base/precondition.h"
#include "pipeline/files/near_file.h"
#include "pipeline/machine/processors.h"

#include <algorithm>
#include <array>
#include <atomic>
#include <cstdarg>
#include <cstring>
#include <mutex>
#include <new>
#include <string_view>

#include <fmt/format.h>

namespace tabard::pipeline::av {
namespace {

// Containers that hold films or sound. Everything else libavformat would guess at: text as ANSI art, playlists that
// name other files, raw streams of anything.
constexpr char const* kFormats =
    "mov,mp4,m4a,3gp,3g2,mj2,matroska,webm,avi,mpegts,mpeg,flv,asf,mxf,dv,ogg,wav,w64,flac,mp3,aac,aiff,caf,nut";

bool starts_with(char const* format, std::string_view words)
{
    return std::strncmp(format, words.data(), words.size()) == 0;
}

void count(void* counter)
{
    if (counter)
        ++*static_cast<std::atomic<std::int64_t>*>(counter);
}

// libav talks to stderr about everything, and some of it is said nowhere else, so it is counted instead. With frame
// threads a picture may leave the decoder before the flag that it is concealed is set on it (FFmpeg 5.1). Demuxers go
// on behind damage with the next thing they know, and Matroska's takes what it does not know for a thing of the future.
void listen_quietly(void* context, int level, char const* format, va_list) noexcept
{
    auto const* const* type = static_cast<AVClass const* const*>(context);
    if (!type)
        return;
    if (*type == avcodec_get_class() && starts_with(format, "concealing "))
        count(static_cast<AVCodecContext*>(context)->opaque);
    if (*type == avformat_get_class() && (level <= AV_LOG_ERROR || starts_with(format, "Unknown entry")))
        count(static_cast<AVFormatContext*>(context)->opaque);
}

void be_quiet()
{
    static std::once_flag once;
    std::call_once(once, [] { av_log_set_callback(listen_quietly); });
}

int asked_to_stop(void* opaque) noexcept { return static_cast<std::stop_token*>(opaque)->stop_requested() ? 1 : 0; }

// Twice 8K. A damaged header can ask for pictures of gigabytes.
constexpr std::int64_t kMostPixels = std::int64_t{1} << 27;

// Each thread of a decoder holds pictures of its own; more than this is faster than any encoder.
constexpr int kMostThreads = 4;

ErrorKind kind_of(int code)
{
    switch (code) {
    case AVERROR(ENOENT):
    case AVERROR(ENOTDIR):
        return ErrorKind::not_found;
    case AVERROR_EXIT:
        return ErrorKind::interrupted;
    case AVERROR_DECODER_NOT_FOUND:
    case AVERROR_ENCODER_NOT_FOUND:
    case AVERROR_MUXER_NOT_FOUND:
    case AVERROR_DEMUXER_NOT_FOUND:
    case AVERROR_PATCHWELCOME:
    case AVERROR(ENOSYS):
        return ErrorKind::unsupported;
    case AVERROR(ENOMEM): // what a damaged size asks for, far sooner than the machine's end
    case AVERROR_INVALIDDATA:
    case AVERROR_EOF:
    case AVERROR_STREAM_NOT_FOUND:
        return ErrorKind::decode;
    default:
        return ErrorKind::io;
    }
}

Error open_error(int code, std::filesystem::path const& path, std::stop_token const& stop)
{
    if (stop.stop_requested())
        return error(AVERROR_EXIT, "", path); // demuxers take a read that was stopped for damage
    // libavformat gives "invalid argument" or "invalid data" for what the list of formats shuts out.
    if (code == AVERROR_INVALIDDATA || code == AVERROR(EINVAL))
        return {ErrorKind::unsupported,
                fmt::format("{}: this is no film or sound file that can be read, or its beginning is damaged. "
                            "If it should play, save it again as MP4.",
                            path.string())};
    Error why = error(code, "cannot open", path);
    if (code == AVERROR(ENOENT))
        why.what += near_file_hint(path);
    if (code == AVERROR(EACCES) || code == AVERROR(EPERM))
        why.kind = ErrorKind::not_found; // an input that we may not read is one we do not have
    return why;
}

// MPEG streams begin at any clock value, and MP3 files count their priming; other containers count from their own 0
// if it is near.
std::int64_t zero_of(AVFormatContext const* context)
{
    bool const free_clock =
        (context->iformat->flags & AVFMT_TS_DISCONT) != 0 || std::string_view{context->iformat->name} == "mp3";
    if (context->start_time == AV_NOPTS_VALUE || !is_credible(context->start_time, AV_TIME_BASE_Q))
        return 0;
    return free_clock || context->start_time >= kFarFromZero ? context->start_time : 0;
}

} // namespace

std::string message(int code)
{
    std::array<char, AV_ERROR_MAX_STRING_SIZE> text{};
    av_strerror(code, text.data(), text.size());
    return text.data();
}

Error error(int code, std::string const& action, std::filesystem::path const& path)
{
    if (code == AVERROR_EXIT)
        return {ErrorKind::interrupted, fmt::format("{}: stopped", path.string())};
    return {kind_of(code), fmt::format("{}: {}: {}", path.string(), action, message(code))};
}

Result<Input> open_container(std::filesystem::path const& path, std::stop_token stop)
{
    be_quiet();
    std::error_code ignored;
    auto const kind = std::filesystem::status(path, ignored).type();
    if (kind == std::filesystem::file_type::directory)
        return Error{ErrorKind::unsupported, fmt::format("{}: this is a folder, not a film", path.string())};
    // What comes through a pipe cannot be read twice, and opening one waits for who writes.
    if (kind != std::filesystem::file_type::regular && std::filesystem::exists(path, ignored))
        return Error{ErrorKind::unsupported,
                     fmt::format("{}: this is a pipe or a device, not a file: save the film as one", path.string())};
    Input input;
    input.stop = std::make_unique<std::stop_token>(std::move(stop));
    AVFormatContext* raw = avformat_alloc_context();
    if (!raw)
        throw std::bad_alloc();
    raw->interrupt_callback = {asked_to_stop, input.stop.get()};
    raw->opaque = input.complaints.get();
    Options options;
    options.set("format_whitelist", kFormats);
    options.set("protocol_whitelist", "file");
    if (int const code = avformat_open_input(&raw, ("file:" + path.string()).c_str(), nullptr, options.get()); code < 0)
        return open_error(code, path, *input.stop); // libavformat has already freed `raw`
    input.handle.reset(raw);
    return input;
}

Result<Input> open_input(std::filesystem::path const& path, std::stop_token stop)
{
    TRY_ASSIGN(Input input, open_container(path, std::move(stop)));
    *input.complaints = 0; // of the header
    if (int const code = avformat_find_stream_info(input.handle.get(), nullptr); code < 0)
        return open_error(code, path, *input.stop);
    input.zero = zero_of(input.handle.get());
    return input;
}

void discard_all_but(Input const& input, int wanted)
{
    for (unsigned i = 0; i < input->nb_streams; ++i)
        if (static_cast<int>(i) != wanted)
            input->streams[i]->discard = AVDISCARD_ALL;
}

Result<CodecHandle> open_decoder(AVStream const* stream, int threads, std::filesystem::path const& path,
                                 std::atomic<std::int64_t>* concealed)
{
    AVCodec const* codec = avcodec_find_decoder(stream->codecpar->codec_id);
    if (!codec)
        return Error{ErrorKind::unsupported, fmt::format("{}: there is no decoder for {}", path.string(),
                                                         avcodec_get_name(stream->codecpar->codec_id))};
    CodecHandle decoder{avcodec_alloc_context3(codec)};
    if (!decoder)
        throw std::bad_alloc();
    if (int const code = avcodec_parameters_to_context(decoder.get(), stream->codecpar); code < 0)
        return error(code, "cannot set up the decoder", path);
    decoder->pkt_timebase = stream->time_base;
    decoder->thread_count = threads > 0 ? threads : std::min(usable_processors(), kMostThreads);
    decoder->opaque = concealed;
    decoder->max_pixels = kMostPixels;
    if (int const code = avcodec_open2(decoder.get(), codec, nullptr); code < 0)
        return error(code, "cannot start the decoder", path);
    return decoder;
}

FrameHandle make_frame()
{
    FrameHandle frame{av_frame_alloc()};
    if (!frame)
        throw std::bad_alloc();
    return frame;
}

PacketHandle make_packet()
{
    PacketHandle packet{av_packet_alloc()};
    if (!packet)
        throw std::bad_alloc();
    return packet;
}

bool is_planar_yuv(AVPixelFormat format)
{
    switch (format) {
    case AV_PIX_FMT_YUV420P:
    case AV_PIX_FMT_YUV422P:
    case AV_PIX_FMT_YUV444P:
    case AV_PIX_FMT_YUV420P10:
    case AV_PIX_FMT_YUV422P10:
    case AV_PIX_FMT_YUV444P10:
        return true;
    default:
        return false;
    }
}

bool is_grey(AVPixelFormat format)
{
    AVPixFmtDescriptor const* description = av_pix_fmt_desc_get(format);
    return description && description->nb_components <= 2 &&
           (description->flags & (AV_PIX_FMT_FLAG_RGB | AV_PIX_FMT_FLAG_PAL)) == 0;
}

bool is_full_range(AVPixelFormat format, AVColorRange tag)
{
    switch (format) {
    case AV_PIX_FMT_YUVJ420P:
    case AV_PIX_FMT_YUVJ422P:
    case AV_PIX_FMT_YUVJ444P:
    case AV_PIX_FMT_YUVJ440P:
    case AV_PIX_FMT_YUVJ411P:
        return true;
    default:
        return tag == AVCOL_RANGE_JPEG || (is_grey(format) && tag == AVCOL_RANGE_UNSPECIFIED);
    }
}

AVPixelFormat planar_yuv_for(AVPixelFormat format)
{
    if (is_planar_yuv(format))
        return format;
    AVPixFmtDescriptor const* description = av_pix_fmt_desc_get(format);
    if (!description)
        return AV_PIX_FMT_YUV420P;
    bool const deep = description->comp[0].depth > 8;
    bool const chroma = description->nb_components >= 3 && (description->flags & AV_PIX_FMT_FLAG_RGB) == 0;
    if (chroma && description->log2_chroma_h == 0)
        return description->log2_chroma_w == 0 ? (deep ? AV_PIX_FMT_YUV444P10 : AV_PIX_FMT_YUV444P)
                                               : (deep ? AV_PIX_FMT_YUV422P10 : AV_PIX_FMT_YUV422P);
    return deep ? AV_PIX_FMT_YUV420P10 : AV_PIX_FMT_YUV420P;
}

PixelLayout layout_of(AVPixelFormat format)
{
    AVPixFmtDescriptor const* description = av_pix_fmt_desc_get(format);
    return {description->comp[0].depth, description->log2_chroma_w, description->log2_chroma_h};
}

std::shared_ptr<AVBufferPool> make_picture_pool(AVPixelFormat format, int width, int height)
{
    int const bytes = av_image_get_buffer_size(format, width, height, 64);
    PRECONDITION(bytes > 0);
    auto const size = static_cast<std::size_t>(bytes) + AV_INPUT_BUFFER_PADDING_SIZE;
    std::shared_ptr<AVBufferPool> pool(av_buffer_pool_init(size, nullptr),
                                       [](AVBufferPool* owned) { av_buffer_pool_uninit(&owned); });
    if (!pool)
        throw std::bad_alloc();
    return pool;
}

} // namespace tabard::pipeline::av
