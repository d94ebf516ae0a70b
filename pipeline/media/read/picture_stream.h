#pragma once
// The coded pictures of a film's track, one by one. Included by this folder's .cpp files alone.
#include "pipeline/media/av.h"
#include "pipeline/media/coded_group.h"
#include "pipeline/media/media_info.h"

namespace tabard::pipeline::av {

class PictureStream {
public:
    static Result<PictureStream> open(MediaInfo const& film, std::stop_token stop);

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

    AVStream const& stream() const { return *m_input.stream(m_stream); }

private:
    Input m_input;
    PacketHandle m_packet;
    int m_stream = 0;
    std::filesystem::path m_path;
};

} // namespace tabard::pipeline::av
