#include "pipeline/media/write/late_streams.h"

#include <map>

namespace tabard::pipeline::av {
namespace {

// Damage may make every packet of a stream undecodable; what is whole tells itself at once.
constexpr int kMostTries = 200;

/// What decoding tells of a stream's sound.
class SoundLearner {
public:
    /// Whether nothing more is to be learnt.
    bool learn(AVStream& stream, AVPacket const* packet, std::filesystem::path const& path)
    {
        if (!m_decoder && ++m_tries <= kMostTries)
            if (auto decoder = open_decoder(&stream, 1, path))
                m_decoder = *std::move(decoder);
        if (!m_decoder || ++m_tries > kMostTries)
            return m_tries > kMostTries;
        if (avcodec_send_packet(m_decoder.get(), packet) < 0)
            return false;
        auto const frame = make_frame();
        if (avcodec_receive_frame(m_decoder.get(), frame.get()) < 0)
            return false;
        if (avcodec_parameters_from_context(stream.codecpar, m_decoder.get()) < 0)
            throw std::bad_alloc();
        return is_known_sound(*stream.codecpar);
    }

private:
    CodecHandle m_decoder;
    int m_tries = 0;
};

bool is_unknown_sound(AVStream const& stream)
{
    return stream.codecpar->codec_type == AVMEDIA_TYPE_AUDIO && !is_known_sound(*stream.codecpar);
}

bool may_bring_streams(Input const& input)
{
    if ((input->ctx_flags & AVFMTCTX_NOHEADER) != 0)
        return true;
    for (unsigned i = 0; i < input->nb_streams; ++i)
        if (is_unknown_sound(*input->streams[i]))
            return true;
    return false;
}

// Packets of streams that are known need not be put together.
void skip_known(Input const& input)
{
    for (unsigned i = 0; i < input->nb_streams; ++i)
        if (!is_unknown_sound(*input->streams[i]))
            input->streams[i]->discard = AVDISCARD_ALL;
}

} // namespace

bool is_known_sound(AVCodecParameters const& parameters)
{
    return parameters.codec_id != AV_CODEC_ID_NONE && parameters.sample_rate > 0 &&
           parameters.ch_layout.nb_channels > 0;
}

Result<std::optional<Input>> find_late_streams(Input const& opened, std::filesystem::path const& path,
                                               std::stop_token stop)
{
    if (!may_bring_streams(opened))
        return std::optional<Input>{};
    TRY_ASSIGN(auto input, open_input(path, std::move(stop)));
    skip_known(input);
    auto const packet = make_packet();
    std::map<int, SoundLearner> learners;
    int errors = 0;
    while (true) {
        int const code = av_read_frame(input.handle.get(), packet.get());
        if (code == AVERROR_EXIT)
            return error(code, "", path);
        if (code == AVERROR_EOF || (code < 0 && ++errors >= kReadErrorsInARow))
            return std::optional{std::move(input)};
        if (code < 0)
            continue;
        errors = 0;
        AVStream& stream = *input.stream(packet->stream_index);
        if (!is_unknown_sound(stream) || learners[packet->stream_index].learn(stream, packet.get(), path))
            stream.discard = AVDISCARD_ALL;
        av_packet_unref(packet.get());
    }
}

} // namespace tabard::pipeline::av
