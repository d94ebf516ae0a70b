#include "pipeline/media/sound_grid.h"

#include "pipeline/time/timecode.h"

#include <algorithm>
#include <array>

#include <fmt/format.h>

namespace tabard::pipeline::av {
namespace {

constexpr int kSilenceStep = 4096;
// Containers that count milliseconds make sound jitter by up to one; a real gap is a lost packet, 20 ms and more.
constexpr int kJitterPerSecond = 200;
// A lesson does not fall silent for longer: such a time stamp is damage, and a small file would claim any length of it.
constexpr std::int64_t kLongestGapSeconds = 3600;
constexpr int kBelievedStamps = 3;

struct Layout {
    AVChannelLayout layout{};
    explicit Layout(int channels) { av_channel_layout_default(&layout, channels); }
    ~Layout() { av_channel_layout_uninit(&layout); }
    Layout(Layout const&) = delete;
    Layout& operator=(Layout const&) = delete;
};

} // namespace

Result<SoundGrid> SoundGrid::open(AVStream const& stream, std::int64_t zero_ticks, int rate, int channels,
                                  std::filesystem::path const& path)
{
    SoundGrid grid;
    TRY_ASSIGN(grid.m_decoder, open_decoder(&stream, 1, path));
    grid.m_frame = make_frame();
    grid.m_path = path;
    grid.m_clock = stream.time_base;
    grid.m_zero_ticks = zero_ticks;
    grid.m_rate = rate;
    grid.m_channels = channels;
    return grid;
}

void SoundGrid::push(AVPacket const* packet)
{
    if (avcodec_send_packet(m_decoder.get(), packet) < 0 && packet)
        ++m_broken;
}

bool SoundGrid::decode()
{
    for (;;) {
        int const code = avcodec_receive_frame(m_decoder.get(), m_frame.get());
        if (code == 0)
            return true;
        m_ended = m_ended || code == AVERROR_EOF;
        if (code == AVERROR_EOF || code == AVERROR(EAGAIN))
            return false;
        ++m_broken;
    }
}

Result<std::span<float const>> SoundGrid::pull()
{
    for (;;) {
        std::span<float const> samples;
        if (m_frame_ready && m_silence > 0) {
            TRY_ASSIGN(samples, give_silence());
        } else if (m_frame_ready) {
            TRY_ASSIGN(samples, give_frame());
        } else if (decode()) {
            TRY_VOID(place_frame());
            continue;
        } else if (m_ended && !m_flushed && m_resampler) {
            m_flushed = true;
            TRY_ASSIGN(samples, convert(nullptr, 0));
            return samples;
        } else {
            return samples;
        }
        if (!samples.empty())
            return samples;
    }
}

Error SoundGrid::too_long_a_gap(std::int64_t samples) const
{
    return {ErrorKind::decode,
            fmt::format("{}: its sound has a gap of {}: the times in this file are damaged; save it again as MP4",
                        m_path.string(), print_time(from_ticks(samples, 1, m_source_rate), 1))};
}

Result<void> SoundGrid::place_frame()
{
    if (m_frame->sample_rate <= 0 || m_frame->ch_layout.nb_channels <= 0 || m_frame->nb_samples <= 0)
        return {};
    TRY_VOID(resample_like(*m_frame));
    m_frame_ready = true;
    m_offset = 0;
    m_silence = 0;
    std::int64_t const stamp = m_frame->pts != AV_NOPTS_VALUE ? m_frame->pts : m_frame->best_effort_timestamp;
    std::int64_t const tolerance = m_started ? m_source_rate / kJitterPerSecond : 0;
    m_started = true;
    if (stamp == AV_NOPTS_VALUE)
        return {};
    std::int64_t const gap = av_rescale_q(stamp - m_zero_ticks, m_clock, {1, m_source_rate}) - m_position;
    if (gap > kLongestGapSeconds * m_source_rate) {
        if (++m_wild_stamps >= kBelievedStamps)
            return too_long_a_gap(gap);
        return {}; // one alone is a broken time, not a gap
    }
    m_wild_stamps = 0;
    if (gap > tolerance)
        m_silence = gap;
    else if (gap < -tolerance)
        m_offset = static_cast<int>(std::min<std::int64_t>(m_frame->nb_samples, -gap));
    return {};
}

// Most files keep one form throughout; broadcast recordings may change theirs.
Result<void> SoundGrid::resample_like(AVFrame const& frame)
{
    auto const format = static_cast<AVSampleFormat>(frame.format);
    int const channels = frame.ch_layout.nb_channels;
    if (m_resampler && format == m_source_format && frame.sample_rate == m_source_rate && channels == m_source_channels)
        return {};
    if (m_source_rate > 0)
        m_position = av_rescale(m_position, frame.sample_rate, m_source_rate);
    Layout from{channels};
    Layout to{m_channels};
    if (frame.ch_layout.order == AV_CHANNEL_ORDER_NATIVE)
        av_channel_layout_copy(&from.layout, &frame.ch_layout);
    SwrContext* raw = nullptr;
    int code = swr_alloc_set_opts2(&raw, &to.layout, AV_SAMPLE_FMT_FLT, m_rate, &from.layout, format, frame.sample_rate,
                                   0, nullptr);
    m_resampler.reset(raw);
    if (code >= 0) {
        av_opt_set_double(raw, "rematrix_maxval", 1.0, 0); // a sum of channels must not clip
        code = swr_init(raw);
    }
    if (code < 0) {
        m_resampler.reset();
        return error(code, "cannot convert the sound", m_path);
    }
    m_source_format = format;
    m_source_rate = frame.sample_rate;
    m_source_channels = channels;
    return {};
}

Result<std::span<float const>> SoundGrid::convert(std::uint8_t const** planes, int count)
{
    int const room = swr_get_out_samples(m_resampler.get(), count);
    if (room < 0)
        return error(room, "cannot convert the sound", m_path);
    m_out.resize(static_cast<std::size_t>(room) * static_cast<std::size_t>(m_channels));
    auto* out = reinterpret_cast<std::uint8_t*>(m_out.data());
    int const made = room == 0 ? 0 : swr_convert(m_resampler.get(), &out, room, planes, count);
    if (made < 0)
        return error(made, "cannot convert the sound", m_path);
    m_position += count;
    return std::span<float const>{m_out.data(), static_cast<std::size_t>(made) * static_cast<std::size_t>(m_channels)};
}

Result<std::span<float const>> SoundGrid::give_silence()
{
    int const count = static_cast<int>(std::min<std::int64_t>(kSilenceStep, m_silence));
    int const bytes = av_samples_get_buffer_size(nullptr, m_source_channels, count, m_source_format, 1);
    m_silence_bytes.resize(static_cast<std::size_t>(bytes));
    std::vector<std::uint8_t*> planes(static_cast<std::size_t>(m_source_channels));
    av_samples_fill_arrays(planes.data(), nullptr, m_silence_bytes.data(), m_source_channels, count, m_source_format,
                           1);
    av_samples_set_silence(planes.data(), 0, count, m_source_channels, m_source_format);
    m_silence -= count;
    return convert(const_cast<std::uint8_t const**>(planes.data()), count);
}

Result<std::span<float const>> SoundGrid::give_frame()
{
    m_frame_ready = false;
    int const count = m_frame->nb_samples - m_offset;
    if (count <= 0)
        return std::span<float const>{};
    bool const planar = av_sample_fmt_is_planar(m_source_format) != 0;
    auto const plane_count = static_cast<std::size_t>(planar ? m_source_channels : 1);
    std::size_t const step = static_cast<std::size_t>(av_get_bytes_per_sample(m_source_format)) *
                             static_cast<std::size_t>(planar ? 1 : m_source_channels);
    std::vector<std::uint8_t const*> planes(plane_count);
    for (std::size_t i = 0; i < plane_count; ++i)
        planes[i] = m_frame->extended_data[i] + step * static_cast<std::size_t>(m_offset);
    return convert(planes.data(), count);
}

} // namespace tabard::pipeline::av
