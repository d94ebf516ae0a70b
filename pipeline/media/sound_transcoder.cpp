#include "pipeline/media/sound_transcoder.h"

namespace tabard::pipeline::av {

Result<std::unique_ptr<SoundTranscoder>> SoundTranscoder::open(AVStream const&, std::int64_t, Container, AVStream&,
                                                               std::filesystem::path const& path)
{
    return error(AVERROR_PATCHWELCOME, "cannot encode the sound", path);
}

Result<void> SoundTranscoder::put(AVPacket const*, Output&)
{
    return {};
}

} // namespace tabard::pipeline::av
