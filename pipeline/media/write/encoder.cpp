#include "pipeline/media/write/encoder.h"

#include <algorithm>
#include <array>
#include <cstdint>

#include <fmt/format.h>

extern "C" {
#include <libavutil/mastering_display_metadata.h>
}

namespace tabard::pipeline::av {
namespace {

AVCodec const* find_encoder(VideoCodec codec, AVFrame const* first)
{
    switch (codec) {
    case VideoCodec::h264:
        return avcodec_find_encoder_by_name("libx264");
    case VideoCodec::hevc:
        return avcodec_find_encoder_by_name("libx265");
    case VideoCodec::vp9:
        return avcodec_find_encoder_by_name("libvpx-vp9");
    case VideoCodec::av1:
        break;
    }
    // SVT-AV1 is several times faster, but takes 4:2:0 of an even size of at least 64 x 64 only.
    bool const svt_can =
        !first || ((first->format == AV_PIX_FMT_YUV420P || first->format == AV_PIX_FMT_YUV420P10) &&
                   first->width >= 64 && first->height >= 64 && (first->width | first->height) % 2 == 0);
    AVCodec const* svt = svt_can ? avcodec_find_encoder_by_name("libsvtav1") : nullptr;
    return svt ? svt : avcodec_find_encoder_by_name("libaom-av1");
}

std::string_view library(VideoCodec codec)
{
    switch (codec) {
    case VideoCodec::h264:
        return "libx264";
    case VideoCodec::hevc:
        return "libx265";
    case VideoCodec::vp9:
        return "libvpx";
    case VideoCodec::av1:
        return "SVT-AV1 or libaom";
    }
    return "";
}

// The parameter strings of x264 and x265 take what SEI messages hold: chromaticities in 1/50000, luminance in 1/10000.
std::string mastering_text(AVMasteringDisplayMetadata const& data)
{
    auto const units = [](AVRational value, int scale) { return av_rescale(value.num, scale, std::max(1, value.den)); };
    auto const point = [&](AVRational const(&xy)[2]) {
        return fmt::format("({},{})", units(xy[0], 50000), units(xy[1], 50000));
    };
    return fmt::format("G{}B{}R{}WP{}L({},{})", point(data.display_primaries[1]), point(data.display_primaries[2]),
                       point(data.display_primaries[0]), point(data.white_point), units(data.max_luminance, 10000),
                       units(data.min_luminance, 10000));
}

std::string hdr_parameters(AVFrame const& frame, char const* mastering_key, char const* light_key)
{
    std::string text;
    if (AVFrameSideData const* side = av_frame_get_side_data(&frame, AV_FRAME_DATA_MASTERING_DISPLAY_METADATA)) {
        auto const& data = *reinterpret_cast<AVMasteringDisplayMetadata const*>(side->data);
        if (data.has_primaries && data.has_luminance)
            text += fmt::format(":{}={}", mastering_key, mastering_text(data));
    }
    if (AVFrameSideData const* side = av_frame_get_side_data(&frame, AV_FRAME_DATA_CONTENT_LIGHT_LEVEL)) {
        auto const& data = *reinterpret_cast<AVContentLightMetadata const*>(side->data);
        text += fmt::format(":{}={},{}", light_key, data.MaxCLL, data.MaxFALL);
    }
    return text;
}

// Other numbers give other bytes: a film must not depend on how many cores the machine has. More would cost quality:
// 16 threads of x264, preset medium, make a busy 1080p film 6 % larger at 0.14 dB less than 8, in 200 MB more. Of large
// pictures each thread holds several.
int threads_for(AVFrame const& picture)
{
    return std::int64_t{picture.width} * picture.height > std::int64_t{2048} * 1152 ? 4 : 8;
}

void set_options(Options& options, EncoderSettings const& settings, std::string_view encoder, AVFrame const& first)
{
    options.set("crf", std::to_string(settings.crf.value_or(default_crf(settings.codec))));
    if (encoder == "libx264") {
        options.set("preset", settings.preset.value_or("medium"));
        options.set("x264-params", "cpu-independent=1" + hdr_parameters(first, "mastering-display", "cll") +
                                       (must_avoid_avx512(first.width) ? ":asm=avx2" : ""));
    } else if (encoder == "libx265") {
        options.set("preset", settings.preset.value_or("medium"));
        // The library makes its own thread pool and knows nothing of the codec context's count. The pool may be as
        // large as the machine, but how many pictures it works on at once, and in how many slices it looks ahead,
        // shows.
        std::string const threads = ":frame-threads=2:lookahead-slices=0" +
                                    (settings.threads > 0 ? fmt::format(":pools={}", settings.threads) : "");
        options.set("x265-params", "log-level=none" + threads + hdr_parameters(first, "master-display", "max-cll"));
    } else if (encoder == "libvpx-vp9") {
        options.set("b", "0");
        options.set("deadline", "good");
        options.set("row-mt", "1");
        options.set("cpu-used", settings.preset.value_or("4"));
    } else if (encoder == "libsvtav1") {
        options.set("preset", settings.preset.value_or("8"));
    } else {
        options.set("b", "0");
        options.set("row-mt", "1");
        options.set("cpu-used", settings.preset.value_or("6"));
    }
}

AVPixelFormat supported_form(AVCodec const* codec, AVPixelFormat wanted)
{
    for (AVPixelFormat const* form = codec->pix_fmts; form && *form != AV_PIX_FMT_NONE; ++form)
        if (*form == wanted)
            return wanted;
    bool const deep = layout_of(wanted).bit_depth > 8;
    for (AVPixelFormat const* form = codec->pix_fmts; deep && form && *form != AV_PIX_FMT_NONE; ++form)
        if (*form == AV_PIX_FMT_YUV420P10)
            return AV_PIX_FMT_YUV420P10;
    return AV_PIX_FMT_YUV420P;
}

void describe_pictures(AVCodecContext& encoder, EncoderInput const& input)
{
    AVFrame const& first = *input.first;
    encoder.width = first.width;
    encoder.height = first.height;
    encoder.pix_fmt =
        input.plain ? AV_PIX_FMT_YUV420P : supported_form(encoder.codec, static_cast<AVPixelFormat>(first.format));
    encoder.sample_aspect_ratio = input.aspect;
    encoder.color_range = first.color_range;
    encoder.color_primaries = first.color_primaries;
    encoder.color_trc = first.color_trc;
    encoder.colorspace = first.colorspace;
    encoder.chroma_sample_location = first.chroma_location;
    encoder.time_base = input.clock;
    encoder.framerate = {input.rate.num, input.rate.den};
    if (input.interlaced) {
        encoder.flags |= AV_CODEC_FLAG_INTERLACED_DCT | AV_CODEC_FLAG_INTERLACED_ME;
        encoder.field_order = first.top_field_first ? AV_FIELD_TT : AV_FIELD_BB;
    }
}

} // namespace

AVOutputFormat const* muxer(Container container)
{
    switch (container) {
    case Container::mp4:
        return av_guess_format("mp4", nullptr, nullptr);
    case Container::mov:
        return av_guess_format("mov", nullptr, nullptr);
    case Container::mkv:
        return av_guess_format("matroska", nullptr, nullptr);
    case Container::webm:
        return av_guess_format("webm", nullptr, nullptr);
    }
    return nullptr;
}

bool can_hold(Container container, AVCodecID codec)
{
    return avformat_query_codec(muxer(container), codec, FF_COMPLIANCE_NORMAL) == 1;
}

AVCodecID codec_id(VideoCodec codec)
{
    switch (codec) {
    case VideoCodec::h264:
        return AV_CODEC_ID_H264;
    case VideoCodec::hevc:
        return AV_CODEC_ID_HEVC;
    case VideoCodec::vp9:
        return AV_CODEC_ID_VP9;
    case VideoCodec::av1:
        return AV_CODEC_ID_AV1;
    }
    return AV_CODEC_ID_NONE;
}

// With AVX-512, x264 (core 164) weighs macroblocks by what later pictures take from them eight at a time, also past the
// end of a row and of its memory: where a row is no multiple of eight long, the stream depended on what lay there
// before. The narrower code stops at the end.
bool must_avoid_avx512(int width)
{
    int const macroblocks = (width + 15) / 16;
    return macroblocks % 8 != 0 && (av_get_cpu_flags() & AV_CPU_FLAG_AVX512) != 0;
}

Result<void> check_encoder(VideoCodec codec)
{
    if (find_encoder(codec, nullptr))
        return {};
    return Error{ErrorKind::unsupported,
                 fmt::format("this build of libavcodec cannot encode {}: it lacks {}", name(codec), library(codec))};
}

Result<CodecHandle> open_encoder(EncoderSettings const& settings, EncoderInput const& input,
                                 std::filesystem::path const& path)
{
    AVCodec const* codec = find_encoder(settings.codec, input.first);
    if (!codec) {
        TRY_VOID(check_encoder(settings.codec));
        return error(AVERROR_ENCODER_NOT_FOUND, "cannot encode", path);
    }
    // Asked first: libx264's wrapper in FFmpeg 5.1 leaks when the library refuses.
    bool const odd = (input.first->width | input.first->height) % 2 != 0;
    if (odd && (settings.codec == VideoCodec::h264 || settings.codec == VideoCodec::hevc))
        return Error{ErrorKind::unsupported,
                     fmt::format("{}: {} cannot hold frames of {} x {}, an odd size: choose the codec vp9",
                                 path.string(), name(settings.codec), input.first->width, input.first->height)};
    CodecHandle encoder{avcodec_alloc_context3(codec)};
    if (!encoder)
        throw std::bad_alloc();
    describe_pictures(*encoder, input);
    encoder->thread_count = settings.threads > 0 ? settings.threads : threads_for(*input.first);
    if (input.global_header)
        encoder->flags |= AV_CODEC_FLAG_GLOBAL_HEADER;
    Options options;
    set_options(options, settings, codec->name, *input.first);
    if (int const code = avcodec_open2(encoder.get(), codec, options.get()); code < 0)
        return error(code, fmt::format("the {} encoder cannot start", name(settings.codec)), path);
    return encoder;
}

} // namespace tabard::pipeline::av
