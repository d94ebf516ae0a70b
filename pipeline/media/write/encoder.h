#pragma once
// Opening encoders. Included by this folder's .cpp files alone.
#include "pipeline/media/av.h"
#include "pipeline/media/write/encoder_settings.h"

namespace tabard::pipeline::av {

AVOutputFormat const* muxer(Container container);
bool can_hold(Container container, AVCodecID codec);
AVCodecID codec_id(VideoCodec codec);

/// Errors: unsupported if this build of libavcodec has no encoder for it.
Result<void> check_encoder(VideoCodec codec);

/// Whether libx264 must do without AVX-512 ("asm=avx2") at this width, or its stream is left to chance.
bool must_avoid_avx512(int width);

/// What an encoder must know beside the settings.
struct EncoderInput {
    AVFrame const* first = nullptr; ///< size, pixel format, colour tags, HDR metadata
    AVRational aspect{0, 1};        ///< of one sample; 0 where nothing says it
    AVRational clock{1, 1};
    FrameRate rate;
    bool interlaced = false;
    bool global_header = false; ///< the container keeps parameter sets itself
    bool plain = false;         ///< 8 bits and 4:2:0, whatever the pictures have
};

/// An encoder for pictures like `input.first`; its pixel format may differ from theirs where the codec knows fewer.
Result<CodecHandle> open_encoder(EncoderSettings const& settings, EncoderInput const& input,
                                 std::filesystem::path const& path);

} // namespace tabard::pipeline::av
