#include "pipeline/media/splice/splice_writer.h"

#include "pipeline/media/read/picture_stream.h"
#include "pipeline/media/write/output.h"
#include "pipeline/media/write/side_copy.h"

#include <cstring>
#include <memory>
#include <new>

namespace tabard::pipeline {
namespace {

// Muxers read the bytes and nothing behind them; who wants to change them has to copy them first.
void lend(SharedBytes const& bytes, AVPacket& packet)
{
    auto held = std::make_unique<SharedBytes>(bytes);
    auto* const data = reinterpret_cast<std::uint8_t*>(const_cast<std::byte*>(held->data()));
    packet.buf = av_buffer_create(
        data, held->size(), [](void* opaque, std::uint8_t*) { delete static_cast<SharedBytes*>(opaque); }, held.get(),
        AV_BUFFER_FLAG_READONLY);
    if (!packet.buf)
        throw std::bad_alloc();
    packet.data = data;
    packet.size = static_cast<int>(held.release()->size());
}

} // namespace

struct SpliceWriter::Impl {
    WriteOptions options;
    av::Output output;
    av::SideCopy side;
    av::PacketHandle packet = av::make_packet();
    AVRational clock{1, 1};
    WriteReport report;

    AVStream* film() const { return output.stream(side.film_stream()); }

    Result<void> start(av::PictureStream const& source, AvcConfiguration const& configuration);
    Result<void> write(CodedPicture const& picture, bool key);
};

Result<void> SpliceWriter::Impl::start(av::PictureStream const& source, AvcConfiguration const& configuration)
{
    AVStream const& from = source.stream();
    AVStream& to = *film();
    if (int const code = avcodec_parameters_copy(to.codecpar, from.codecpar); code < 0)
        return av::error(code, "cannot copy a track", output.path);
    std::vector<std::byte> const record = configuration.bytes();
    av_freep(&to.codecpar->extradata);
    to.codecpar->extradata = static_cast<std::uint8_t*>(av_mallocz(record.size() + AV_INPUT_BUFFER_PADDING_SIZE));
    if (!to.codecpar->extradata)
        throw std::bad_alloc();
    std::memcpy(to.codecpar->extradata, record.data(), record.size());
    to.codecpar->extradata_size = static_cast<int>(record.size());
    to.codecpar->codec_tag = 0;
    to.time_base = from.time_base;
    to.avg_frame_rate = from.avg_frame_rate;
    // The container's shape of a sample wins over that in the pictures, which stay as they are.
    to.sample_aspect_ratio = source.sample_aspect();
    to.codecpar->sample_aspect_ratio = to.sample_aspect_ratio;
    clock = from.time_base;
    return output.write_header(clock);
}

Result<void> SpliceWriter::Impl::write(CodedPicture const& picture, bool key)
{
    TRY_VOID(side.copy_until(output, av::time_of(picture.decoded, clock)));
    lend(picture.data, *packet);
    packet->pts = picture.shown;
    packet->dts = picture.decoded;
    packet->duration = picture.duration;
    packet->flags = key ? AV_PKT_FLAG_KEY : 0;
    packet->stream_index = film()->index;
    av_packet_rescale_ts(packet.get(), clock, film()->time_base);
    ++report.pictures;
    return output.put(packet.get());
}

SpliceWriter::SpliceWriter(std::unique_ptr<Impl> impl) : m_impl(std::move(impl)) {}
SpliceWriter::SpliceWriter(SpliceWriter&&) noexcept = default;
SpliceWriter& SpliceWriter::operator=(SpliceWriter&&) noexcept = default;
SpliceWriter::~SpliceWriter() = default;

Result<SpliceWriter> SpliceWriter::create(std::filesystem::path const& target, CodedFilm& source,
                                          AvcConfiguration const& configuration, WriteOptions const& options)
{
    TRY_VOID(av::check_target(target, source.info(), options.container));
    auto impl = std::make_unique<Impl>();
    impl->options = options;
    TRY_ASSIGN(impl->output, av::Output::create(target, options.container, options.stop));
    TRY_ASSIGN(impl->side, av::SideCopy::open(source.info(), options, impl->output));
    TRY_VOID(impl->start(source.pictures(), configuration));
    return SpliceWriter(std::move(impl));
}

Result<void> SpliceWriter::write(CodedGroup const& group)
{
    if (m_impl->options.stop.stop_requested())
        return av::error(AVERROR_EXIT, "", m_impl->output.path);
    bool key = true;
    for (CodedPicture const& picture : group.pictures)
        TRY_VOID(m_impl->write(picture, std::exchange(key, false)));
    return {};
}

Result<WriteReport> SpliceWriter::finish()
{
    TRY_VOID(m_impl->side.copy_rest(m_impl->output));
    m_impl->report.notes = m_impl->side.notes();
    m_impl->report.whole_sound = m_impl->side.whole_sound();
    TRY_ASSIGN(m_impl->report.bytes, m_impl->output.finish());
    return std::move(m_impl->report);
}

} // namespace tabard::pipeline
