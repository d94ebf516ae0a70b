#include "pipeline/media/splice/group_encoder.h"

#include "pipeline/machine/spares.h"
#include "pipeline/media/av.h"
#include "pipeline/media/read/picture_stream.h"
#include "pipeline/media/write/encoder.h"

#include <algorithm>
#include <cstdint>
#include <cstring>
#include <limits>
#include <map>
#include <span>
#include <vector>

#include <fmt/format.h>
#include <malloc.h>

namespace tabard::pipeline {
namespace {

constexpr int kHigh = 100, kMain = 77;
char const* profile_word(int profile) { return profile == kHigh ? "high" : profile == kMain ? "main" : "baseline"; }

// x264 takes level_idc, and 9 for level 1b, which Baseline and Main write as 11 with constraint_set3_flag.
int level_for(SequenceParameters const& sequence)
{
    bool const is_1b = sequence.level == 11 && (sequence.constraints & 0x10) != 0 && sequence.profile != kHigh;
    return is_1b ? 9 : sequence.level;
}

// What x264's presets do.
struct PresetEffort {
    int references = 3;
    int look_ahead = 40;
};
PresetEffort effort_of(std::string const& preset)
{
    static std::map<std::string, PresetEffort> const kEfforts = {
        {"ultrafast", {1, 0}}, {"superfast", {1, 0}}, {"veryfast", {1, 10}}, {"faster", {2, 20}},   {"fast", {2, 30}},
        {"medium", {3, 40}},   {"slow", {5, 50}},     {"slower", {8, 60}},   {"veryslow", {16, 60}}};
    auto const found = kEfforts.find(preset);
    return found == kEfforts.end() ? PresetEffort{} : found->second;
}

// Each picture that the encoder looks ahead holds 3 bytes a pixel. A short look-ahead gives smaller files of less
// quality at one CRF, and hardly others at one quality.
int look_ahead_for(PresetEffort const& effort, std::int64_t pixels)
{
    constexpr std::int64_t kMemory = 26'000'000;
    constexpr std::int64_t kLeast = 3; // as many pictures as may be bidirectional in a row
    std::int64_t const affordable = kMemory / std::max<std::int64_t>(1, 3 * pixels);
    return static_cast<int>(std::min<std::int64_t>(effort.look_ahead, std::max(kLeast, affordable)));
}

// A reference picture holds 5 bytes a pixel, so large pictures do with few. Pictures that refer to bidirectional ones
// need two more, a sixth of all that the encoder holds, and save 2 % of the bytes. x264 keeps two pictures for
// bidirectional ones and four for those that refer to them; the film's decoders have room for as many as it says.
struct References {
    int most;
    bool bidirectional;
    bool pyramid;
};
References references_for(SpliceSource const& source, PresetEffort const& effort, std::int64_t pixels)
{
    bool const large = pixels > 1'280 * 720;
    int const most = large ? std::min(effort.references, 2) : effort.references;
    int const room = std::max(1, source.sequence.reference_frames);
    return {std::min(room, most), source.reordering > 0 && room >= 2, !large && source.reordering >= 2 && room >= 4};
}

// glibc 2.36 finds no hole for memory that must begin at a multiple of 2 MB, as x264's pictures do, unless it is 2 MB
// larger: encoder after encoder, the heap grew to 1.5 times what is in use. Given back to the system, pictures leave no
// holes.
void give_back_pictures()
{
#ifdef M_MMAP_THRESHOLD
    static bool const done = mallopt(M_MMAP_THRESHOLD, 1 << 20) == 1;
    static_cast<void>(done);
#endif
}

std::span<std::byte const> bytes_of(std::uint8_t const* data, int size)
{
    return std::as_bytes(std::span(data, static_cast<std::size_t>(size)));
}

} // namespace

struct GroupEncoder::Impl {
    SpliceSource const& source;
    EncoderSettings settings;
    av::ParametersHandle parameters;
    AVRational clock{1, 1};
    AvcConfiguration configuration;
    std::shared_ptr<AVBufferPool> copies; ///< memory for pictures that are drawn on
    mutable Spares<av::CodecHandle> decoders;

    Impl(SpliceSource const& film, EncoderSettings how, AVRational ticks)
        : source(film), settings(std::move(how)), clock(ticks), configuration(film.configuration)
    {
    }
    Result<av::CodecHandle> take_decoder() const;
    void give_back(av::CodecHandle decoder) const;
    Result<av::CodecHandle> open_encoder(int threads) const;
    Result<av::CodecHandle> open_decoder() const;
    Result<void> add_new_sets(av::CodecHandle const& encoder);
    Result<void> take_packets(AVCodecContext* encoder, AVPacket* packet, CodedGroup const& like, CodedGroup& to) const;
    std::vector<std::byte> counted(std::span<std::byte const> stream) const;
    std::int64_t pixels() const { return std::int64_t{parameters->width} * parameters->height; }
    Error refused(std::string const& why) const { return {ErrorKind::unsupported, why}; }
};

Result<av::CodecHandle> GroupEncoder::Impl::open_encoder(int threads) const
{
    AVCodec const* const codec = avcodec_find_encoder_by_name("libx264");
    if (!codec)
        return refused("this build of libavcodec lacks libx264");
    av::CodecHandle encoder{avcodec_alloc_context3(codec)};
    if (!encoder)
        throw std::bad_alloc();
    encoder->width = parameters->width;
    encoder->height = parameters->height;
    encoder->pix_fmt = AV_PIX_FMT_YUV420P;
    encoder->sample_aspect_ratio = parameters->sample_aspect_ratio;
    encoder->color_range = parameters->color_range;
    encoder->color_primaries = parameters->color_primaries;
    encoder->color_trc = parameters->color_trc;
    encoder->colorspace = parameters->color_space;
    encoder->chroma_sample_location = parameters->chroma_location;
    encoder->time_base = clock;
    encoder->framerate = {source.info.video->rate.num, source.info.video->rate.den};
    encoder->thread_count = threads;
    encoder->level = level_for(source.sequence);
    std::string const preset = settings.preset.value_or("medium");
    PresetEffort const effort = effort_of(preset);
    References const references = references_for(source, effort, pixels());
    encoder->refs = references.most; // fits its decoded picture buffer
    encoder->max_b_frames = references.bidirectional ? 3 : 0;
    // A group begins where the film's does, and nowhere else. Where nothing refers to anything, each picture is one.
    encoder->gop_size = source.sequence.reference_frames == 0 ? 1 : std::numeric_limits<int>::max();
    encoder->flags |= AV_CODEC_FLAG_GLOBAL_HEADER | AV_CODEC_FLAG_CLOSED_GOP;

    av::Options options;
    options.set("preset", preset);
    options.set("profile", profile_word(source.sequence.profile));
    options.set("crf", std::to_string(settings.crf.value_or(default_crf(VideoCodec::h264))));
    // stitchable: headers that do not depend on the pictures, so that all groups share one pair of parameter sets.
    // cpu-independent: other processors give the same bytes. force-cfr: the rate that the parameter sets state is the
    // film's own, not its clock's.
    options.set("x264-params", fmt::format("force-cfr={}:sps-id={}:stitchable=1:scenecut=0:cpu-independent=1:rc-"
                                           "lookahead={}:lookahead-threads=1:b-pyramid={}{}",
                                           int{!source.info.video->variable_rate}, source.free_id,
                                           look_ahead_for(effort, pixels()), references.pyramid ? "normal" : "none",
                                           av::must_avoid_avx512(parameters->width) ? ":asm=avx2" : ""));
    if (int const code = avcodec_open2(encoder.get(), codec, options.get()); code < 0)
        return refused(fmt::format("the encoder refuses the film's profile and level ({})", av::message(code)));
    return encoder;
}

Result<av::CodecHandle> GroupEncoder::Impl::open_decoder() const
{
    AVCodec const* const codec = avcodec_find_decoder(AV_CODEC_ID_H264);
    if (!codec)
        return refused("this build of libavcodec cannot decode H.264");
    av::CodecHandle decoder{avcodec_alloc_context3(codec)};
    if (!decoder)
        throw std::bad_alloc();
    if (int const code = avcodec_parameters_to_context(decoder.get(), parameters.get()); code < 0)
        return av::error(code, "cannot set up the decoder", source.info.path);
    std::vector<std::byte> const record = configuration.bytes();
    av_freep(&decoder->extradata);
    decoder->extradata = static_cast<std::uint8_t*>(av_mallocz(record.size() + AV_INPUT_BUFFER_PADDING_SIZE));
    if (!decoder->extradata)
        throw std::bad_alloc();
    std::memcpy(decoder->extradata, record.data(), record.size());
    decoder->extradata_size = static_cast<int>(record.size());
    decoder->pkt_timebase = clock;
    decoder->thread_count = 1;
    decoder->err_recognition = AV_EF_CRCCHECK | AV_EF_BITSTREAM | AV_EF_BUFFER;
    if (int const code = avcodec_open2(decoder.get(), codec, nullptr); code < 0)
        return av::error(code, "cannot start the decoder", source.info.path);
    return decoder;
}

// A new decoder has fresh memory for its pictures, all of which the system and then the decoder clear; a used one has
// it already.
Result<av::CodecHandle> GroupEncoder::Impl::take_decoder() const
{
    return decoders.take([this] { return open_decoder(); });
}

void GroupEncoder::Impl::give_back(av::CodecHandle decoder) const
{
    avcodec_flush_buffers(decoder.get());
    decoders.give_back(std::move(decoder));
}

Result<void> GroupEncoder::decode(CodedGroup const& group,
                                  std::function<Result<void>(DecodedPicture)> const& take) const
{
    TRY_ASSIGN(auto decoder, m_impl->take_decoder());
    auto packet = av::make_packet();
    std::map<std::int64_t, std::int64_t> durations;
    for (CodedPicture const& picture : group.pictures)
        durations[picture.shown] = picture.duration;
    std::size_t decoded = 0;
    auto const broken = [&] { return Error{ErrorKind::unsupported, "a frame of a touched group cannot be decoded"}; };
    auto const receive = [&]() -> Result<void> {
        for (;;) {
            auto frame = av::make_frame();
            int const code = avcodec_receive_frame(decoder.get(), frame.get());
            if (code == AVERROR(EAGAIN) || code == AVERROR_EOF)
                return {};
            auto const duration = code < 0 ? durations.end() : durations.find(frame->pts);
            if (duration == durations.end() || frame->decode_error_flags != 0 ||
                frame->width != m_impl->parameters->width || frame->height != m_impl->parameters->height)
                return broken();
            if (frame->format == AV_PIX_FMT_YUVJ420P)
                frame->format = AV_PIX_FMT_YUV420P; // the same samples; the range is said beside them
            auto picture = std::make_unique<av::Frame>();
            picture->ticks = frame->pts;
            picture->duration_ticks = duration->second;
            picture->clock = m_impl->clock;
            picture->handle = std::move(frame);
            picture->copies = m_impl->copies;
            ++decoded;
            TRY_VOID(take(DecodedPicture{std::move(picture)}));
        }
    };
    for (CodedPicture const& picture : group.pictures) {
        if (int const code = av_new_packet(packet.get(), static_cast<int>(picture.data.size())); code < 0)
            throw std::bad_alloc();
        std::memcpy(packet->data, picture.data.data(), picture.data.size());
        packet->pts = picture.shown;
        packet->dts = picture.decoded;
        int const code = avcodec_send_packet(decoder.get(), packet.get());
        av_packet_unref(packet.get());
        if (code < 0)
            return broken();
        TRY_VOID(receive());
    }
    avcodec_send_packet(decoder.get(), nullptr);
    TRY_VOID(receive());
    if (decoded != group.pictures.size())
        return broken();
    m_impl->give_back(std::move(decoder));
    return {};
}

// The encoder's start codes become the counted form that the film's own pictures have.
std::vector<std::byte> GroupEncoder::Impl::counted(std::span<std::byte const> stream) const
{
    std::vector<std::byte> picture;
    picture.reserve(stream.size() + 16);
    for (auto const unit : split_start_codes(stream)) {
        for (int i = configuration.length_bytes; i-- > 0;)
            picture.push_back(static_cast<std::byte>(unit.size() >> (8 * i)));
        picture.insert(picture.end(), unit.begin(), unit.end());
    }
    return picture;
}

Result<void> GroupEncoder::Impl::add_new_sets(av::CodecHandle const& encoder)
{
    for (auto const unit : split_start_codes(bytes_of(encoder->extradata, encoder->extradata_size))) {
        if (nal_type(unit[0]) == kSequenceSet)
            configuration.sequence_sets.emplace_back(unit.begin(), unit.end());
        if (nal_type(unit[0]) == kPictureSet)
            configuration.picture_sets.emplace_back(unit.begin(), unit.end());
    }
    auto const sequence = parse_sequence_parameters(configuration.sequence_sets.back());
    auto const picture = parse_picture_parameters_id(configuration.picture_sets.back());
    if (!sequence || sequence->id != source.free_id || picture != source.free_id)
        return refused("the encoder did not number its parameter sets as asked");
    if (sequence->level > source.sequence.level)
        return refused("the encoder needs a higher level than the film has");
    if (sequence->reference_frames > source.sequence.reference_frames)
        return refused("the encoder refers to more frames than the film's decoders keep");
    return {};
}

// Decoding times are the film's own, in order: they rise, and new pictures take the places of the old ones.
Result<void> GroupEncoder::Impl::take_packets(AVCodecContext* encoder, AVPacket* packet, CodedGroup const& like,
                                              CodedGroup& to) const
{
    for (;;) {
        int const code = avcodec_receive_packet(encoder, packet);
        if (code == AVERROR(EAGAIN) || code == AVERROR_EOF)
            return {};
        if (code < 0)
            return av::error(code, "cannot encode a frame", source.info.path);
        std::size_t const place = to.pictures.size();
        if (place >= like.pictures.size())
            return refused("the encoder made more frames than it was given");
        CodedPicture picture{packet->pts, like.pictures[place].decoded, 0,
                             counted(bytes_of(packet->data, packet->size))};
        av_packet_unref(packet);
        if (picture.shown < picture.decoded)
            return refused("its decoding times leave no room for reordering");
        auto const old = std::ranges::find(like.pictures, picture.shown, &CodedPicture::shown);
        picture.duration = old == like.pictures.end() ? 0 : old->duration;
        to.pictures.push_back(std::move(picture));
    }
}

std::string encoder_identity() { return fmt::format("libx264 {} {}", avcodec_version(), av_version_info()); }

GroupEncoder::GroupEncoder(std::unique_ptr<Impl> impl) : m_impl(std::move(impl)) {}
GroupEncoder::GroupEncoder(GroupEncoder&&) noexcept = default;
GroupEncoder& GroupEncoder::operator=(GroupEncoder&&) noexcept = default;
GroupEncoder::~GroupEncoder() = default;

Result<GroupEncoder> GroupEncoder::create(CodedFilm& film, SpliceSource const& source, EncoderSettings const& settings)
{
    give_back_pictures();
    AVStream const& stream = film.pictures().stream();
    auto impl = std::make_unique<Impl>(source, settings, stream.time_base);
    impl->parameters.reset(avcodec_parameters_alloc());
    if (!impl->parameters || avcodec_parameters_copy(impl->parameters.get(), stream.codecpar) < 0)
        throw std::bad_alloc();
    impl->copies = av::make_picture_pool(AV_PIX_FMT_YUV420P, impl->parameters->width, impl->parameters->height);
    TRY_ASSIGN(auto const encoder, impl->open_encoder(1));
    TRY_VOID(impl->add_new_sets(encoder));
    return GroupEncoder(std::move(impl));
}

AvcConfiguration const& GroupEncoder::configuration() const { return m_impl->configuration; }

// Other numbers give other bytes, so it depends on the group alone, and not on the machine. A short group keeps one
// core busy while others are made beside it; of a long one there may be few.
int GroupEncoder::threads(std::size_t pictures)
{
    constexpr std::size_t kPicturesOfAThread = 60, kMost = 3;
    return static_cast<int>(std::clamp<std::size_t>(pictures / kPicturesOfAThread, 1, kMost));
}

std::int64_t GroupEncoder::bytes_in_work(std::size_t pictures) const
{
    return 45 * m_impl->pixels() + 15 * m_impl->pixels() * (threads(pictures) - 1);
}

Result<CodedGroup> GroupEncoder::encode(CodedGroup const& group, std::function<void(DecodedPicture&)> const& draw,
                                        std::stop_token stop) const
{
    auto opened = m_impl->open_encoder(threads(group.pictures.size()));
    if (!opened) // one of these settings did start before: what is short now is memory, or threads
        return Error{ErrorKind::io, "an encoder cannot start, for lack of memory or threads"};
    auto const encoder = *std::move(opened);
    auto packet = av::make_packet();
    CodedGroup coded;
    TRY_VOID(decode(group, [&](DecodedPicture picture) -> Result<void> {
        if (stop.stop_requested())
            return av::error(AVERROR_EXIT, "", m_impl->source.info.path);
        draw(picture);
        AVFrame* const frame = picture.frame().handle.get();
        frame->pict_type = AV_PICTURE_TYPE_NONE;
        if (int const code = avcodec_send_frame(encoder.get(), frame); code < 0)
            return av::error(code, "cannot encode a frame", m_impl->source.info.path);
        return m_impl->take_packets(encoder.get(), packet.get(), group, coded);
    }));
    if (int const code = avcodec_send_frame(encoder.get(), nullptr); code < 0)
        return av::error(code, "cannot encode a frame", m_impl->source.info.path);
    TRY_VOID(m_impl->take_packets(encoder.get(), packet.get(), group, coded));
    if (coded.pictures.size() != group.pictures.size())
        return m_impl->refused("the encoder left out frames");
    return coded;
}

} // namespace tabard::pipeline
