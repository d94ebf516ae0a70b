#include "pipeline/media/write/sound_transcoder.h"

#include <algorithm>
#include <cstring>
#include <limits>

#include <fmt/format.h>

namespace tabard::pipeline::av {
namespace {

constexpr int kAacBitsPerChannel = 96'000;
constexpr int kOpusBitsPerChannel = 64'000;

int supported_rate(AVCodec const* codec, int wanted)
{
    for (int const* rate = codec->supported_samplerates; rate && *rate; ++rate)
        if (*rate == wanted)
            return wanted;
    return 48'000;
}

// The usual layouts of 1 to 6 and of 8 channels exist in both codecs; all else becomes stereo.
int supported_channels(int wanted) { return (wanted >= 1 && wanted <= 6) || wanted == 8 ? wanted : 2; }

Result<CodecHandle> open_sound_encoder(AVCodecParameters const& source, Output const& output)
{
    bool const opus = output.container == Container::webm;
    AVCodec const* codec = opus ? avcodec_find_encoder_by_name("libopus") : avcodec_find_encoder(AV_CODEC_ID_AAC);
    if (!codec)
        return Error{ErrorKind::unsupported, fmt::format("{}: this build of libavcodec cannot encode {} sound",
                                                         output.path.string(), opus ? "Opus" : "AAC")};
    CodecHandle encoder{avcodec_alloc_context3(codec)};
    if (!encoder)
        throw std::bad_alloc();
    int const channels = supported_channels(source.ch_layout.nb_channels);
    av_channel_layout_default(&encoder->ch_layout, channels);
    encoder->sample_fmt = opus ? AV_SAMPLE_FMT_FLT : AV_SAMPLE_FMT_FLTP;
    encoder->sample_rate = supported_rate(codec, source.sample_rate);
    encoder->time_base = {1, encoder->sample_rate};
    encoder->bit_rate = std::int64_t{channels} * (opus ? kOpusBitsPerChannel : kAacBitsPerChannel);
    encoder->thread_count = 1;
    if ((output->oformat->flags & AVFMT_GLOBALHEADER) != 0)
        encoder->flags |= AV_CODEC_FLAG_GLOBAL_HEADER;
    if (int const code = avcodec_open2(encoder.get(), codec, nullptr); code < 0)
        return error(code, "cannot encode the sound", output.path);
    return encoder;
}

void fill(AVFrame& frame, float const* interleaved)
{
    auto const channels = static_cast<std::size_t>(frame.ch_layout.nb_channels);
    auto const count = static_cast<std::size_t>(frame.nb_samples);
    if (frame.format == AV_SAMPLE_FMT_FLT) {
        std::memcpy(frame.data[0], interleaved, count * channels * sizeof(float));
        return;
    }
    for (std::size_t channel = 0; channel < channels; ++channel) {
        auto* plane = reinterpret_cast<float*>(frame.extended_data[channel]);
        for (std::size_t i = 0; i < count; ++i)
            plane[i] = interleaved[i * channels + channel];
    }
}

} // namespace

Result<std::unique_ptr<SoundTranscoder>> SoundTranscoder::open(AVStream const& source, std::int64_t zero_ticks,
                                                               Time from, std::optional<Time> to, Output const& output,
                                                               AVStream& target)
{
    std::unique_ptr<SoundTranscoder> made{new SoundTranscoder};
    TRY_ASSIGN(made->m_encoder, open_sound_encoder(*source.codecpar, output));
    AVCodecContext const& encoder = *made->m_encoder;
    TRY_ASSIGN(made->m_grid,
               SoundGrid::open(source, zero_ticks, encoder.sample_rate, encoder.ch_layout.nb_channels, output.path));
    made->m_skip = to_ticks(from, 1, encoder.sample_rate);
    made->m_left = to ? to_ticks(*to - from, 1, encoder.sample_rate) : std::numeric_limits<std::int64_t>::max();
    made->m_target = target.index;
    if (avcodec_parameters_from_context(target.codecpar, &encoder) < 0)
        throw std::bad_alloc();
    target.time_base = encoder.time_base;
    return made;
}

Result<void> SoundTranscoder::put(AVPacket const* packet, Output& output)
{
    m_grid.push(packet);
    for (;;) {
        TRY_ASSIGN(auto const samples, m_grid.pull());
        if (samples.empty())
            break;
        TRY_VOID(take(samples, output));
    }
    if (packet)
        return {};
    auto const rest = m_waiting.size() / static_cast<std::size_t>(m_encoder->ch_layout.nb_channels);
    if (rest > 0)
        TRY_VOID(encode(rest, output));
    return send(nullptr, output);
}

Result<void> SoundTranscoder::take(std::span<float const> samples, Output& output)
{
    auto const channels = static_cast<std::size_t>(m_encoder->ch_layout.nb_channels);
    auto const frames = static_cast<std::int64_t>(samples.size() / channels);
    std::int64_t const skipped = std::min(frames, m_skip);
    std::int64_t const taken = std::min(frames - skipped, m_left);
    m_skip -= skipped;
    m_left -= taken;
    auto const part =
        samples.subspan(static_cast<std::size_t>(skipped) * channels, static_cast<std::size_t>(taken) * channels);
    m_waiting.insert(m_waiting.end(), part.begin(), part.end());
    auto const step = static_cast<std::size_t>(m_encoder->frame_size);
    while (m_waiting.size() >= step * channels)
        TRY_VOID(encode(step, output));
    return {};
}

Result<void> SoundTranscoder::encode(std::size_t frames, Output& output)
{
    FrameHandle frame = make_frame();
    frame->format = m_encoder->sample_fmt;
    frame->sample_rate = m_encoder->sample_rate;
    frame->nb_samples = static_cast<int>(frames);
    frame->pts = m_position;
    if (av_channel_layout_copy(&frame->ch_layout, &m_encoder->ch_layout) < 0 || av_frame_get_buffer(frame.get(), 0) < 0)
        throw std::bad_alloc();
    fill(*frame, m_waiting.data());
    auto const used = frames * static_cast<std::size_t>(m_encoder->ch_layout.nb_channels);
    m_waiting.erase(m_waiting.begin(), m_waiting.begin() + static_cast<std::ptrdiff_t>(used));
    m_position += static_cast<std::int64_t>(frames);
    return send(frame.get(), output);
}

Result<void> SoundTranscoder::send(AVFrame const* frame, Output& output)
{
    if (int const code = avcodec_send_frame(m_encoder.get(), frame); code < 0 && code != AVERROR_EOF)
        return error(code, "cannot encode the sound", output.path);
    for (;;) {
        int const code = avcodec_receive_packet(m_encoder.get(), m_packet.get());
        if (code == AVERROR(EAGAIN) || code == AVERROR_EOF)
            return {};
        if (code < 0)
            return error(code, "cannot encode the sound", output.path);
        m_packet->stream_index = m_target;
        av_packet_rescale_ts(m_packet.get(), m_encoder->time_base, output.stream(m_target)->time_base);
        TRY_VOID(output.put(m_packet.get()));
    }
}

} // namespace tabard::pipeline::av
