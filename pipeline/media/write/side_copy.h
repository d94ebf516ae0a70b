#pragma once
// All of a film but its pictures, carried from one file to another. Included by this folder's .cpp files alone.
#include "pipeline/media/av.h"
#include "pipeline/media/write/film_writer.h"
#include "pipeline/media/write/output.h"
#include "pipeline/media/write/sound_transcoder.h"

#include <vector>

namespace tabard::pipeline::av {

/// Reads the source a second time, for its other streams. Lays out the streams of the output, the film among them.
class SideCopy {
public:
    SideCopy() = default;
    /// Adds streams, tags and chapters to `output`; `notes` gets what cannot be kept.
    static Result<SideCopy> open(MediaInfo const& source, WriteOptions const& options, Output& output,
                                 std::vector<std::string>& notes);

    int film_stream() const { return m_film; }
    /// Puts every packet that is due before `time` of the output.
    Result<void> copy_until(Output& output, Time time);
    Result<void> copy_rest(Output& output);

private:
    struct Lane {
        int target = -1; ///< stream of the output; -1 is left out
        std::unique_ptr<SoundTranscoder> transcoder;
        bool drop_priming = false;
        std::int64_t last_dts = AV_NOPTS_VALUE;
    };

    Result<bool> fetch();
    Result<void> put(Output& output);
    Result<void> add_lane(AVStream const& from, WriteOptions const& options, Output& output,
                          std::vector<std::string>& notes);
    Time due(AVPacket const& packet) const;
    static void repair_times(AVPacket& packet, Lane& lane);

    Input m_input;
    std::vector<Lane> m_lanes;
    PacketHandle m_packet;
    bool m_waiting = false; ///< m_packet was read and not yet put
    int m_film = -1;
    Time m_from{};
    std::optional<Time> m_to;
};

/// HDR metadata that stands in the pictures, put beside the stream where it is not yet.
void add_hdr_side_data(AVStream& stream, AVFrame const& frame);

} // namespace tabard::pipeline::av
