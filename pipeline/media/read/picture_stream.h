#pragma once
// The coded pictures of a film's track, one by one. Included by this folder's .cpp files alone.
#include "pipeline/media/av.h"
#include "pipeline/media/coded_group.h"
#include "pipeline/media/media_info.h"
#include "pipeline/media/read/coded_film.h"
#include "pipeline/media/read/sound_digest.h"

#include <map>

namespace tabard::pipeline::av {

class PictureStream {
public:
    /// Errors: as probe_film().
    static Result<PictureStream> open(std::filesystem::path const& path, std::stop_token stop);

    struct Next {
        bool shown_known = false; ///< the container gave a presentation time
        bool decoded_known = false;
        bool whole = false;    ///< neither flagged as corrupt nor to be discarded by an edit list
        bool left_out = false; ///< by an edit list
        bool key = false;      ///< the container says that decoding can begin here
        CodedPicture picture;
    };
    /// None at the end. Errors: interrupted, decode.
    Result<std::optional<Next>> next();

    /// Back to the first picture, by opening the file anew where its container does not lead there. Errors: as open().
    Result<void> rewind();
    /// Towards a key picture, by its `shown`. False where the container knows no way; else look at what next() gives.
    Result<bool> seek(std::int64_t shown);

    /// From now on until it is rewound: whether the container's reader looks at packets of other tracks, too, and so
    /// finds what is damaged there. next() gives none of them.
    void look_at_other_tracks(bool look);
    /// Digests of the sound that was looked at so.
    SoundDigests take_sound();
    /// How often the container's reader found damage since it was rewound; where that was not by going back, while its
    /// beginning was looked at, too.
    std::int64_t complaints() const { return *m_input.complaints - m_complaints_before; }

    MediaInfo const& info() const { return m_info; }
    AVStream const& stream() const { return *m_input.stream(m_info.video->stream); }
    /// Of one sample; 0 where neither the container nor the pictures say it.
    AVRational sample_aspect() const
    {
        return av_guess_sample_aspect_ratio(m_input.handle.get(), m_input.stream(m_info.video->stream), nullptr);
    }
    /// The open file, at its beginning if rewound. The stream is of no use after it.
    Input take_input() { return std::move(m_input); }

private:
    /// What tells a packet from others.
    struct Mark {
        std::int64_t pts = 0;
        std::int64_t dts = 0;
        std::int64_t position = 0;
        int size = 0;
    };
    Result<bool> read_packet();
    void note_sound();
    SharedBytes bytes_of_packet() const;
    Result<bool> seek_to_first();

    Input m_input;
    MediaInfo m_info;
    PacketHandle m_packet;
    std::optional<Mark> m_first; ///< once anything was read
    std::int64_t m_complaints_before = 0;
    bool m_looks_at_others = false;
    std::map<int, SoundDigest> m_sound;
};

} // namespace tabard::pipeline::av
