#pragma once
#include "pipeline/media/orientation.h"
#include "pipeline/media/picture.h"
#include "pipeline/time/time.h"

#include <cstdint>
#include <filesystem>
#include <optional>
#include <string>
#include <utility>
#include <vector>

namespace tabard::pipeline {

/// A positive fraction.
struct Ratio {
    int num = 1;
    int den = 1;
    friend bool operator==(Ratio, Ratio) = default;
};

/// What one video track is, as its container and its decoder's headers say it.
struct VideoTrack {
    int stream = 0;      ///< its number in the file, from 0
    std::string codec;   ///< libavcodec's short name, e.g. "h264"
    std::string profile; ///< e.g. "High"; empty where unknown
    SizePx stored;       ///< samples as decoded
    Ratio sample_aspect; ///< width : height of one sample, before turning
    Orientation orientation;
    SizePx displayed;   ///< upright and in square pixels: what a layout is chosen from
    PixelLayout layout; ///< of the pictures a MediaReader gives
    ColourTags colour;  ///< of the pictures a MediaReader gives
    FrameRate rate;     ///< nominal: for labels and for tracks that must have one
    bool variable_rate = false;
    bool interlaced = false;
    bool hdr_metadata = false;       ///< mastering display or light level stands beside the stream
    Ratio clock;                     ///< the unit of its time stamps, in seconds
    Time start{};                    ///< film time of its first picture
    Time duration{};                 ///< from the first picture to the end of the last one
    std::optional<Time> claimed_end; ///< film time where the header says it ends, if its packets end well before
    std::string first_label;         ///< SMPTE timecode of its first picture, where the camera wrote one; else empty
    std::int64_t pictures = 0;       ///< as the container says; 0 where it does not
};

struct SoundTrack {
    int stream = 0;
    std::string codec;
    std::string language; ///< as tagged, e.g. "eng"; empty where it is not
    int rate = 0;         ///< samples per second
    int channels = 0;
    Time start{}; ///< film time of its first sample
    Time duration{};
};

/// Any stream that is neither the chosen video nor sound: captions, cover art, a second camera, telemetry.
struct OtherTrack {
    enum class Kind { captions, video, cover_art, data };
    int stream = 0;
    Kind kind = Kind::data;
    std::string codec;
};

struct Chapter {
    Time from{};
    Time to{};
    std::string title;
    friend bool operator==(Chapter const&, Chapter const&) = default;
};

/// A media file as its headers describe it. Film time 0 is the start of the container's own timeline (edit lists
/// honoured): a late first picture has a positive `start`.
///
/// Edit lists of MP4 and MOV (ISO/IEC 14496-12, 8.6.6) are read as libavformat reads them, since most players use it,
/// and since `check`, the plan and the render must see one film. That is what the standard says, but that
/// - a picture that begins before its edit is not shown;
/// - the pictures then move to the beginning of the first edit that is not empty: the standard shows nothing until the
///   first one's composition time, so they come earlier against the sound than it says;
/// - the last picture stays until the edit is over, and an edit is over when the track is;
/// - an empty edit between two others and a rate other than 1 (a held picture) are not followed.
///
/// Formats whose clock starts anywhere (MPEG streams), and films whose clock starts ten seconds or more after 0, begin
/// at 0.
struct MediaInfo {
    std::filesystem::path path;
    std::string container; ///< libavformat's short name, e.g. "mov,mp4,m4a,3gp,3g2,mj2"
    Time duration{};
    std::optional<VideoTrack> video; ///< the track that is the film; none in a sound file
    std::vector<SoundTrack> sound;
    std::vector<OtherTrack> others;
    std::vector<Chapter> chapters;
    std::vector<std::pair<std::string, std::string>> tags; ///< title, artist, ... in file order
    bool has_location = false;                             ///< the file says where it was filmed
    std::vector<std::string> notes; ///< one sentence each: what a person should know about how the file was read
};

} // namespace tabard::pipeline
