#include "pipeline/media/write/copy_proof.h"

#include <algorithm>
#include <array>
#include <optional>
#include <span>

#include <fmt/format.h>

extern "C" {
#include <libavutil/intreadwrite.h>
#include <libavutil/mem.h>
#include <libavutil/murmur3.h>
}

namespace tabard::pipeline::av {
namespace {

using Bytes = std::span<std::uint8_t const>;

bool starts_here(Bytes data) { return data.size() >= 3 && data[0] == 0 && data[1] == 0 && data[2] == 1; }

/// Units between start codes, without the zeros that may follow them (ITU-T H.264, annex B).
template <class Each>
void split_at_start_codes(Bytes data, Each const& each)
{
    std::size_t at = 0;
    std::optional<std::size_t> unit;
    auto const end_unit = [&](std::size_t end) {
        while (end > *unit && data[end - 1] == 0)
            --end;
        each(data.subspan(*unit, end - *unit));
    };
    for (; at + 3 <= data.size(); ++at) {
        if (!starts_here(data.subspan(at)))
            continue;
        if (unit)
            end_unit(at);
        at += 2;
        unit = at + 1;
    }
    if (unit)
        end_unit(data.size());
}

/// Units after their lengths in four bytes.
template <class Each>
void split_by_lengths(Bytes data, Each const& each)
{
    while (data.size() >= 4) {
        std::size_t const length = std::min<std::size_t>(AV_RB32(data.data()), data.size() - 4);
        Bytes unit = data.subspan(4, length);
        data = data.subspan(4 + length);
        while (!unit.empty() && unit.back() == 0)
            unit = unit.first(unit.size() - 1);
        each(unit);
    }
}

/// ISO/IEC 13818-7: seven bytes, or nine with a check sum.
Bytes without_transport_header(Bytes data)
{
    if (data.size() < 9 || data[0] != 0xff || (data[1] & 0xf6) != 0xf0)
        return data;
    return data.subspan((data[1] & 1) != 0 ? 7 : 9);
}

Error differs(std::string const& what) { return {ErrorKind::decode, "reading the result again showed " + what}; }

} // namespace

void CopyProof::Releaser::operator()(AVMurMur3* handle) const noexcept { av_free(handle); }

CopyProof::Stream::Stream(AVCodecParameters const& parameters)
    : pictures(parameters.codec_type == AVMEDIA_TYPE_VIDEO), state(av_murmur3_alloc())
{
    if (!state)
        throw std::bad_alloc();
    av_murmur3_init(state.get());
    bool const in_units = parameters.codec_id == AV_CODEC_ID_H264 || parameters.codec_id == AV_CODEC_ID_HEVC;
    bool const configured = parameters.extradata_size > 0 && parameters.extradata[0] == 1;
    if (in_units)
        form = configured ? Form::lengths : Form::start_codes;
    else if (parameters.codec_id == AV_CODEC_ID_AAC)
        form = Form::transport_header;
}

void CopyProof::Stream::note(AVPacket const& packet, std::int64_t time)
{
    auto const take = [this](Bytes data) {
        av_murmur3_update(state.get(), data.data(), data.size());
        bytes += static_cast<std::int64_t>(data.size());
    };
    Bytes const data(packet.data, static_cast<std::size_t>(packet.size));
    times.push_back(time);
    switch (form) {
    case Form::plain:
        return take(data);
    case Form::start_codes:
        return split_at_start_codes(data, take);
    case Form::lengths:
        return split_by_lengths(data, take);
    case Form::transport_header:
        return take(without_transport_header(data));
    }
}

void CopyProof::add_stream(int target, AVCodecParameters const& parameters)
{
    m_streams.try_emplace(target, parameters);
}

void CopyProof::note(int target, AVPacket const& packet, std::int64_t time)
{
    if (auto const stream = m_streams.find(target); stream != m_streams.end())
        stream->second.note(packet, time);
}

std::string CopyProof::fingerprint(Stream& stream)
{
    std::array<std::uint8_t, 16> digest{};
    av_murmur3_final(stream.state.get(), digest.data());
    return {digest.begin(), digest.end()};
}

Result<void> CopyProof::check(std::filesystem::path const& film, std::stop_token stop) const
{
    TRY_ASSIGN(Input const input, open_container(film, std::move(stop)));
    input->flags |= AVFMT_FLAG_NOPARSE | AVFMT_FLAG_NOFILLIN;
    std::map<int, Stream> found;
    for (auto const& [target, expected] : m_streams) {
        if (target >= static_cast<int>(input->nb_streams))
            return differs("a track less");
        found.try_emplace(target, *input.stream(target)->codecpar);
    }
    PacketHandle const packet = make_packet();
    int code = 0;
    while ((code = av_read_frame(input.handle.get(), packet.get())) >= 0) {
        if (auto const stream = found.find(packet->stream_index); stream != found.end())
            stream->second.note(*packet, packet->pts != AV_NOPTS_VALUE ? packet->pts : packet->dts);
        av_packet_unref(packet.get());
    }
    if (code != AVERROR_EOF)
        return error(code, "cannot read again", film);
    std::optional<std::int64_t> moved;
    for (auto& [target, expected] : m_streams) {
        Stream& stream = found.at(target);
        if (stream.bytes != expected.bytes || fingerprint(stream) != fingerprint(expected))
            return differs(fmt::format("other data in track {}", target));
        bool const comparable = stream.times.size() == expected.times.size();
        if (!comparable && stream.pictures)
            return differs(fmt::format("{} frames instead of {}", stream.times.size(), expected.times.size()));
        for (std::size_t i = 0; comparable && i < stream.times.size(); ++i) {
            std::int64_t const by = stream.times[i] - expected.times[i];
            if (by != moved.value_or(by))
                return differs(fmt::format("another time for packet {} of track {}", i, target));
            moved = by;
        }
    }
    return {};
}

} // namespace tabard::pipeline::av
