#include "pipeline/media/read/sound_packets.h"

#include <algorithm>
#include <cstdlib>
#include <utility>

namespace tabard::pipeline::av {
namespace {

// Where no other packet of the stream is among so many, it has ended or pauses.
constexpr std::size_t kMostAhead = 256;

constexpr Time kRounding = from_ticks(5, 1, 1000);

std::optional<std::int64_t> start_of(AVPacket const& packet, AVRational clock)
{
    std::int64_t const start = packet.pts != AV_NOPTS_VALUE ? packet.pts : packet.dts;
    return start != AV_NOPTS_VALUE && is_credible(start, clock) ? std::optional(start) : std::nullopt;
}

} // namespace

int SoundPackets::next(Input const& input, AVPacket& packet)
{
    if (!m_ahead.empty()) {
        av_packet_move_ref(&packet, m_ahead.front().get());
        m_ahead.pop_front();
    } else {
        int const code = m_code != 0 ? std::exchange(m_code, 0) : av_read_frame(input.handle.get(), &packet);
        if (code < 0)
            return code;
    }
    if (input.stream(packet.stream_index)->codecpar->codec_type == AVMEDIA_TYPE_AUDIO)
        set_right(input, packet);
    return 0;
}

std::optional<std::int64_t> SoundPackets::next_of(Input const& input, int stream)
{
    AVRational const clock = input.stream(stream)->time_base;
    for (std::size_t i = 0; i < kMostAhead; ++i) {
        if (i == m_ahead.size()) {
            if (m_code != 0)
                break;
            auto packet = make_packet();
            m_code = std::min(0, av_read_frame(input.handle.get(), packet.get()));
            if (m_code != 0)
                break;
            m_ahead.push_back(std::move(packet));
        }
        if (m_ahead[i]->stream_index == stream)
            return start_of(*m_ahead[i], clock);
    }
    return std::nullopt;
}

void SoundPackets::set_right(Input const& input, AVPacket& packet)
{
    AVRational const clock = input.stream(packet.stream_index)->time_base;
    auto const start = start_of(packet, clock);
    if (!start)
        return; // said by the packets around it
    Track& track = m_tracks.try_emplace(packet.stream_index, Track{RisingClock{clock.num, clock.den}}).first->second;
    auto const next = track.clock.leaves_gap(*start) ? next_of(input, packet.stream_index) : std::nullopt;
    std::int64_t const shift = track.clock.settle(start, next, std::max<std::int64_t>(1, packet.duration)) - *start;
    if (time_of(std::abs(shift), clock) <= kRounding)
        return; // the writer's and the decoder's own matter
    ++track.moved;
    if (packet.pts != AV_NOPTS_VALUE)
        packet.pts += shift;
    if (packet.dts != AV_NOPTS_VALUE)
        packet.dts += shift;
}

std::int64_t SoundPackets::moved(int stream) const
{
    auto const found = m_tracks.find(stream);
    return found == m_tracks.end() ? 0 : found->second.moved;
}

} // namespace tabard::pipeline::av
