#include "pipeline/media/read/sound_reader.h"

#include "overlay/base/precondition.h"
#include "pipeline/media/av.h"
#include "pipeline/media/read/sound_packets.h"
#include "pipeline/media/sound_grid.h"

#include <fmt/format.h>

namespace tabard::pipeline {
namespace {

int count_of(Channels channels) { return channels == Channels::mono ? 1 : 2; }

} // namespace

struct SoundReader::Impl {
    std::filesystem::path path;
    SoundFormat format;
    av::Input input;
    int stream = -1;
    av::SoundGrid grid;
    av::PacketHandle packet = av::make_packet();
    av::SoundPackets packets;
    std::stop_token stop;
    Time duration{};
    bool packets_ended = false;

    Result<void> feed()
    {
        for (;;) {
            av_packet_unref(packet.get());
            int const code = packets.next(input, *packet);
            if (code == AVERROR_EXIT || stop.stop_requested())
                return av::error(AVERROR_EXIT, "", path);
            if (code < 0) {
                packets_ended = true;
                grid.push(nullptr);
                return {};
            }
            if (packet->stream_index == stream) {
                grid.push(packet.get());
                return {};
            }
        }
    }
};

Result<SoundReader> SoundReader::open(std::filesystem::path const& path, SoundFormat format, std::stop_token stop)
{
    PRECONDITION(format.rate > 0);
    auto impl = std::make_unique<Impl>();
    impl->path = path;
    impl->format = format;
    impl->stop = stop;
    TRY_ASSIGN(impl->input, av::open_input(path, std::move(stop)));
    impl->stream = av_find_best_stream(impl->input.handle.get(), AVMEDIA_TYPE_AUDIO, -1, -1, nullptr, 0);
    if (impl->stream < 0)
        return Error{ErrorKind::not_found, fmt::format("{}: there is no sound in this file", path.string())};
    AVStream const* stream = impl->input.stream(impl->stream);
    TRY_ASSIGN(impl->grid, av::SoundGrid::open(*stream, impl->input.zero_ticks(stream), format.rate,
                                               count_of(format.channels), path));
    av::discard_all_but(impl->input, impl->stream);
    if (impl->input->duration != AV_NOPTS_VALUE)
        impl->duration = av::time_of(impl->input->duration, AV_TIME_BASE_Q);
    return SoundReader{std::move(impl)};
}

SoundReader::SoundReader(std::unique_ptr<Impl> impl) : m_impl(std::move(impl)) {}
SoundReader::SoundReader(SoundReader&&) noexcept = default;
SoundReader& SoundReader::operator=(SoundReader&&) noexcept = default;
SoundReader::~SoundReader() = default;

SoundFormat SoundReader::format() const { return m_impl->format; }
int SoundReader::channels() const { return count_of(m_impl->format.channels); }
Time SoundReader::duration() const { return m_impl->duration; }
std::int64_t SoundReader::broken_packets() const { return m_impl->grid.broken_packets(); }

Result<std::span<float const>> SoundReader::next()
{
    for (;;) {
        TRY_ASSIGN(auto samples, m_impl->grid.pull());
        if (!samples.empty() || m_impl->packets_ended)
            return samples;
        TRY_VOID(m_impl->feed());
    }
}

} // namespace tabard::pipeline
