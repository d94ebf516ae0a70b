#pragma once
#include "pipeline/media/read/h264_headers.h"

#include <cstddef>
#include <cstdint>
#include <map>
#include <optional>
#include <span>

namespace tabard::pipeline {

/// What coded pictures tell of themselves without being decoded: whether their bytes can be some, and the numbers that
/// the encoder gave them, which show where one is missing. H.264 says both, HEVC here the first, others nothing.
class CodedOrder {
public:
    enum class Codec { h264, hevc, other };
    /// `configuration`: what the container keeps beside the pictures; empty where nothing.
    CodedOrder(Codec codec, std::span<std::byte const> configuration);

    struct Picture {
        bool whole = true;        ///< nothing in it is what no encoder writes
        bool numbered = false;    ///< `begins` and `missing` are known
        bool begins = false;      ///< numbers begin anew: an IDR picture
        std::int64_t missing = 0; ///< pictures that others need, left out before it (ITU-T H.264, 7.4.3, frame_num); at
                                  ///< least one if not 0, counted modulo a power of two
        std::optional<std::int64_t> order; ///< place among those shown since the last that began (8.2.1)
    };
    /// The next one in decoding order.
    Picture add(std::span<std::byte const> data);

private:
    void learn(std::span<std::byte const> unit);
    SequenceParameters const* sequence_of(std::span<std::byte const> slice) const;
    void number(std::span<std::byte const> slice, Picture& picture);
    std::int64_t order_of(SliceHeader const& slice, SequenceParameters const& sequence, bool begins, bool reference);

    Codec m_codec;
    int m_length_bytes = 0; ///< of the number before each unit; 0: start codes
    std::map<int, SequenceParameters> m_sequences;
    std::map<int, int> m_sequence_of_picture_set;
    std::optional<int> m_last_reference; ///< frame_num of the last picture that others need
    int m_last_number = 0;               ///< frame_num of the last picture
    std::int64_t m_high_part = 0;        ///< of the order count, of the last picture that others need
    int m_low_part = 0;
    std::int64_t m_number_offset = 0; ///< FrameNumOffset
};

} // namespace tabard::pipeline
