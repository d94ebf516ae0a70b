#pragma once
// All of a film but its pictures, carried from one file to another. Included by this folder's .cpp files alone.
#include "pipeline/media/av.h"
#include "pipeline/media/read/sound_digest.h"
#include "pipeline/media/read/sound_packets.h"
#include "pipeline/media/write/copy_proof.h"
#include "pipeline/media/write/film_writer.h"
#include "pipeline/media/write/output.h"
#include "pipeline/media/write/sound_proof.h"
#include "pipeline/media/write/sound_transcoder.h"

#include <string>
#include <vector>

namespace tabard::pipeline::av {

/// Reads the source a second time, for its other streams. Lays out the streams of the output, the film among them.
class SideCopy {
public:
    SideCopy() = default;
    /// Adds streams, tags and chapters to `output`. Sound that begins somewhere in the middle of a transport stream is
    /// among them.
    static Result<SideCopy> open(MediaInfo const& source, WriteOptions const& options, Output& output);

    /// Notes in `proof` what is copied from now on; before the first packet. Borrowed.
    void prove_with(CopyProof& proof, Output const& output);
    int film_stream() const { return m_film; }
    /// Puts every packet that is due before `time` of the output.
    Result<void> copy_until(Output& output, Time time);
    Result<void> copy_rest(Output& output);
    /// How many packets of a stream of the source were put.
    std::int64_t packets_of(int stream) const { return m_lanes[static_cast<std::size_t>(stream)].taken; }
    /// What cannot be kept, one sentence each; whole after copy_rest().
    std::vector<std::string> notes() const;
    /// What was copied and is proved to be whole; whole after copy_rest().
    SoundDigests whole_sound() const { return m_whole_sound; }

private:
    struct Lane {
        int target = -1; ///< stream of the output; -1 is left out
        int id = 0;      ///< what the file calls the stream
        std::unique_ptr<SoundTranscoder> transcoder;
        bool drop_priming = false;
        std::int64_t last_dts = AV_NOPTS_VALUE;
        Time longest_wait{};                    ///< of a picture between its decoding and its showing, at most
        ParametersHandle sound;                 ///< of a sound stream
        std::optional<SoundProof> proof;        ///< of sound that is copied, unless it was proved before
        std::optional<SoundDigest> digest;      ///< of sound that is copied: of all packets read
        std::string proved_before;              ///< the digest of sound that was
        std::int64_t unproved = 0;              ///< packets that were read and not decoded
        std::int64_t expected = AV_NOPTS_VALUE; ///< when the last packet read is over, on the stream's clock
        std::int64_t taken = 0;
        std::int64_t damaged = 0; ///< packets that are no whole ones of their codec
    };

    bool knows(int stream) const;
    Result<bool> fetch();
    Lane* lane_of(AVPacket const& packet);
    Result<void> put(Output& output);
    Result<void> put_copied(Lane& lane, Output& output);
    void add_film(AVStream const& from, WriteOptions const& options, Output& output);
    Result<void> add_lane(AVStream const& from, WriteOptions const& options, Output& output);
    void leave_out(AVStream const& from, WriteOptions const& options);
    Result<void> copy_stream(AVStream const& from, WriteOptions const& options, Lane& lane, Output& output,
                             AVStream& to);
    Time due(AVPacket const& packet) const;
    bool is_outside(AVPacket const& packet, Lane const& lane) const;
    Result<void> settle_proof(int stream, Lane& lane);
    static void complete_time(AVPacket& packet, Lane& lane, AVStream const& from);
    static void repair_times(AVPacket& packet, Lane& lane, AVRational clock);

    Input m_input;
    std::vector<Lane> m_lanes;
    std::vector<std::string> m_notes;
    PacketHandle m_packet;
    SoundPackets m_packets;
    bool m_waiting = false;    ///< m_packet was read and not yet put
    int m_read_errors = 0;     ///< in a row
    std::size_t m_unknown = 0; ///< streams beyond the lanes that were named
    int m_film = -1;
    CopyProof* m_proof = nullptr;
    SoundDigests m_whole_sound;
    Time m_from{};
    std::optional<Time> m_to;
};

/// HDR metadata that stands in the pictures, put beside the stream where it is not yet.
void add_hdr_side_data(AVStream& stream, AVFrame const& frame);

} // namespace tabard::pipeline::av
