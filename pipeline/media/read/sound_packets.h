#pragma once
// Packets of a file in their order, those of sound at times that rise. Included by pipeline/media's .cpp files alone.
#include "pipeline/media/av.h"
#include "pipeline/media/read/rising_clock.h"

#include <deque>
#include <map>

namespace tabard::pipeline::av {

/// One broken stamp must not move all the sound after it. Where a packet of sound leaves a gap, the next one of its
/// stream is read before it is given: in a true gap that one comes later, too.
class SoundPackets {
public:
    /// Into `packet`, which is empty. Returns what av_read_frame() does.
    int next(Input const& input, AVPacket& packet);
    /// How many packets of a stream were moved, by more than rounding does.
    std::int64_t moved(int stream) const;

private:
    struct Track {
        RisingClock clock;
        std::int64_t moved = 0;
    };
    void set_right(Input const& input, AVPacket& packet);
    std::optional<std::int64_t> next_of(Input const& input, int stream);

    std::deque<PacketHandle> m_ahead;
    int m_code = 0; ///< what comes after m_ahead, if it is no packet
    std::map<int, Track> m_tracks;
};

} // namespace tabard::pipeline::av
