#pragma once
#include "overlay/base/result.h"
#include "pipeline/media/media_info.h"

#include <cstdint>
#include <filesystem>
#include <memory>
#include <span>
#include <stop_token>
#include <string>
#include <string_view>

namespace tabard::pipeline {

/// How a film of overlays alone, with transparency, is coded. All keep straight (unassociated) alpha: an editing
/// program lays the track over the footage as it is.
enum class OverlayCodec {
    prores, ///< ProRes 4444 in MOV, 10 bits and 16 bits of alpha: what editing programs take
    rle,    ///< QuickTime Animation in MOV: lossless, 8 bits
    vp9,    ///< VP9 with alpha in WebM: for browsers and streaming programs
    png,    ///< a folder of numbered PNG files, one per picture: lossless
};

struct OverlayTrack {
    OverlayCodec codec = OverlayCodec::prores;
    SizePx size;               ///< upright, square pixels
    FrameRate rate;            ///< nominal, written into the file
    Ratio clock;               ///< unit of its times: that of the footage, or one picture for a constant rate
    std::string first_label{}; ///< timecode of its first picture, which MOV keeps; empty: none
};

/// "prores", "rle", "vp9", "png". Errors: invalid_input naming the ones there are.
Result<OverlayCodec> parse_overlay_codec(std::string_view name);
/// From the target's name: .mov is prores, .webm vp9, no extension (a folder) png. Errors: invalid_input.
Result<OverlayCodec> overlay_codec_for(std::filesystem::path const& target);

/// Writes such a film. Move-only; one thread at a time. The target is whole only after finish(): give it a temporary
/// name.
class OverlayTrackWriter {
public:
    /// For png `target` is a folder that is made, or is there and empty. Errors: io, unsupported (no such encoder).
    static Result<OverlayTrackWriter> create(std::filesystem::path const& target, OverlayTrack const& track,
                                             std::stop_token stop = {});
    OverlayTrackWriter(OverlayTrackWriter&&) noexcept;
    OverlayTrackWriter& operator=(OverlayTrackWriter&&) noexcept;
    ~OverlayTrackWriter();

    /// The picture that is on screen from `at`, later than the one before. Premultiplied sRGB as Cairo's ARGB32, rows
    /// tightly packed, track.size in all; empty means nothing but transparency.
    Result<void> write(std::span<std::uint32_t const> pixels, Time at);
    /// The same picture once more, from `at`: much cheaper than to write it again.
    Result<void> repeat(Time at);
    /// The last picture stays until `end`. Gives the size of all in bytes.
    Result<std::int64_t> finish(Time end);

private:
    struct Impl;
    explicit OverlayTrackWriter(std::unique_ptr<Impl> impl);
    std::unique_ptr<Impl> m_impl;
};

} // namespace tabard::pipeline
