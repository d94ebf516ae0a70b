#pragma once
#include "overlay/base/result.h"
#include "pipeline/media/picture.h"

#include <filesystem>
#include <optional>
#include <string>
#include <string_view>

namespace tabard::pipeline {

enum class VideoCodec { h264, hevc, vp9, av1 };
enum class Container { mp4, mov, mkv, webm };

/// How pictures are encoded. Quality is constant (CRF): a lower number is better and larger.
struct EncoderSettings {
    VideoCodec codec = VideoCodec::h264;
    std::optional<int> crf;            ///< default_crf() where not given; 0 to max_crf()
    std::optional<std::string> preset; ///< the encoder's own word (x264/x265: "medium"; vp9, av1: speed "0" to "8")
    int threads = 0;                   ///< 0 is one per core
    friend bool operator==(EncoderSettings const&, EncoderSettings const&) = default;
};

int default_crf(VideoCodec codec);
int max_crf(VideoCodec codec);

/// The encoder's word for its fastest work: for drafts.
std::string_view fastest_preset(VideoCodec codec);

/// "h264", "hevc", "vp9", "av1". Errors: invalid_input naming the ones there are.
Result<VideoCodec> parse_codec(std::string_view name);
std::string_view name(VideoCodec codec);

/// From the file's extension: .mp4, .m4v, .mov, .mkv, .webm. Errors: invalid_input naming the ones there are.
Result<Container> container_for(std::filesystem::path const& path);
std::string_view name(Container container);

/// What a film with pictures of `layout` is best encoded as: h264, which plays everywhere; hevc for more than 8 bits,
/// since hardly anything plays H.264 of 10; vp9 in WebM, which holds neither.
VideoCodec default_codec(Container container, PixelLayout layout);

/// Fails before any work is done: a codec this build of the library has no encoder for (unsupported), one the container
/// cannot hold, a CRF or a preset that does not exist (invalid_input).
Result<void> check_settings(EncoderSettings const& settings, Container container);

} // namespace tabard::pipeline
