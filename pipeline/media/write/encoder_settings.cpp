#include "pipeline/media/write/encoder_settings.h"

#include "pipeline/media/write/encoder.h"

#include <algorithm>
#include <array>
#include <cctype>

#include <fmt/format.h>
#include <fmt/ranges.h>

namespace tabard::pipeline {
namespace {

struct CodecFacts {
    VideoCodec codec;
    std::string_view name;
    int default_crf;
    int max_crf;
};

// CRF ranges are those of the encoder libraries; the defaults look like the source to us at 1080p.
constexpr std::array kCodecs = {
    CodecFacts{VideoCodec::h264, "h264", 18, 51},
    CodecFacts{VideoCodec::hevc, "hevc", 20, 51},
    CodecFacts{VideoCodec::vp9, "vp9", 24, 63},
    CodecFacts{VideoCodec::av1, "av1", 24, 63},
};

CodecFacts const& facts(VideoCodec codec)
{
    return *std::find_if(kCodecs.begin(), kCodecs.end(), [&](auto const& entry) { return entry.codec == codec; });
}

constexpr std::array kPresets = {"ultrafast", "superfast", "veryfast", "faster",   "fast",
                                 "medium",    "slow",      "slower",   "veryslow", "placebo"};

bool preset_exists(VideoCodec codec, std::string const& preset)
{
    if (codec == VideoCodec::h264 || codec == VideoCodec::hevc)
        return std::find(kPresets.begin(), kPresets.end(), preset) != kPresets.end();
    return preset.size() == 1 && preset[0] >= '0' && preset[0] <= '8';
}

} // namespace

int default_crf(VideoCodec codec) { return facts(codec).default_crf; }
int max_crf(VideoCodec codec) { return facts(codec).max_crf; }
std::string_view name(VideoCodec codec) { return facts(codec).name; }

std::string_view fastest_preset(VideoCodec codec)
{
    return codec == VideoCodec::h264 || codec == VideoCodec::hevc ? "ultrafast" : "8";
}

Result<VideoCodec> parse_codec(std::string_view name)
{
    for (auto const& entry : kCodecs)
        if (entry.name == name)
            return entry.codec;
    return Error{ErrorKind::invalid_input, fmt::format("no video codec \"{}\": use h264, hevc, vp9 or av1", name)};
}

Result<Container> container_for(std::filesystem::path const& path)
{
    std::string extension = path.extension().string();
    std::transform(extension.begin(), extension.end(), extension.begin(),
                   [](unsigned char c) { return static_cast<char>(std::tolower(c)); });
    if (extension == ".mp4" || extension == ".m4v")
        return Container::mp4;
    if (extension == ".mov")
        return Container::mov;
    if (extension == ".mkv")
        return Container::mkv;
    if (extension == ".webm")
        return Container::webm;
    return Error{ErrorKind::invalid_input,
                 fmt::format("{}: a film's name must end in .mp4, .mov, .mkv or .webm", path.string())};
}

std::string_view name(Container container)
{
    switch (container) {
    case Container::mp4:
        return "MP4";
    case Container::mov:
        return "MOV";
    case Container::mkv:
        return "Matroska";
    case Container::webm:
        return "WebM";
    }
    return "";
}

VideoCodec default_codec(Container container, PixelLayout layout)
{
    if (container == Container::webm)
        return VideoCodec::vp9;
    bool const deep = layout.bit_depth > 8;
    return deep && av::check_encoder(VideoCodec::hevc) ? VideoCodec::hevc : VideoCodec::h264;
}

Result<void> check_settings(EncoderSettings const& settings, Container container)
{
    if (container == Container::webm && (settings.codec == VideoCodec::h264 || settings.codec == VideoCodec::hevc))
        return Error{ErrorKind::invalid_input,
                     fmt::format("WebM cannot hold {}: choose vp9 or av1, or write MP4", name(settings.codec))};
    if (container == Container::mov && settings.codec == VideoCodec::av1)
        return Error{ErrorKind::invalid_input, "MOV cannot hold av1: write MP4, MKV or WebM"};
    if (settings.crf && (*settings.crf < 0 || *settings.crf > max_crf(settings.codec)))
        return Error{ErrorKind::invalid_input,
                     fmt::format("quality {} is out of range: for {} use 0 (best) to {}", *settings.crf,
                                 name(settings.codec), max_crf(settings.codec))};
    if (settings.preset && !preset_exists(settings.codec, *settings.preset))
        return Error{ErrorKind::invalid_input,
                     settings.codec == VideoCodec::h264 || settings.codec == VideoCodec::hevc
                         ? fmt::format("no preset \"{}\": use one of {}", *settings.preset, fmt::join(kPresets, ", "))
                         : fmt::format("no preset \"{}\": for {} use 0 (slow) to 8 (fast)", *settings.preset,
                                       name(settings.codec))};
    return av::check_encoder(settings.codec);
}

} // namespace tabard::pipeline
