#pragma once
// Whether a copy holds what was read. Included by this folder's .cpp files alone.
#include "pipeline/media/av.h"

#include <map>
#include <memory>
#include <vector>

struct AVMurMur3;

namespace tabard::pipeline::av {

/// Fingerprints of the pictures and sound that are copied, stream by stream: the coded data from the first byte to the
/// last, however it is cut into packets, and when each packet is due. Containers keep two things differently, which
/// are taken off on both sides: start codes or lengths between the parts of H.264 and HEVC pictures, and the transport
/// header before a packet of AAC. Move-only.
class CopyProof {
public:
    /// A stream of the input goes to stream `target` of the output.
    void add_stream(int target, AVCodecParameters const& parameters);
    /// One packet of it, due at `time` on the clock of the output.
    void note(int target, AVPacket const& packet, std::int64_t time);
    /// Reads `film` and compares. All times may have moved by one length, as they do where sound begins before 0.
    /// Errors: decode with what differs; as open_input().
    Result<void> check(std::filesystem::path const& film, std::stop_token stop) const;

private:
    struct Releaser {
        void operator()(AVMurMur3* state) const noexcept;
    };
    struct Stream {
        enum class Form { plain, start_codes, lengths, transport_header };
        explicit Stream(AVCodecParameters const& parameters);
        void note(AVPacket const& packet, std::int64_t time);

        Form form = Form::plain;
        bool pictures = false;
        std::unique_ptr<AVMurMur3, Releaser> state;
        std::int64_t bytes = 0;
        std::vector<std::int64_t> times;
    };
    static std::string fingerprint(Stream& stream);

    mutable std::map<int, Stream> m_streams; ///< by their number in the output
};

} // namespace tabard::pipeline::av
