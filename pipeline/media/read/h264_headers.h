#pragma once
#include <cstddef>
#include <cstdint>
#include <optional>
#include <span>
#include <vector>

namespace tabard::pipeline {

/// What of a sequence parameter set (ITU-T H.264, 7.3.2.1.1) decides whether pictures coded otherwise may stand
/// beside those it describes, and how they are numbered.
struct SequenceParameters {
    int profile = 0;     ///< profile_idc
    int constraints = 0; ///< the byte of constraint flags
    int level = 0;       ///< level_idc
    int id = 0;
    int chroma_format = 1; ///< chroma_format_idc: 1 is 4:2:0
    int bit_depth = 8;     ///< the larger of luma and chroma
    int reference_frames = 0;
    bool frames_only = true; ///< frame_mbs_only_flag: no interlaced coding
    bool separate_planes = false;
    int frame_number_bits = 4;
    int order_count_type = 0;
    int order_count_bits = 4;  ///< of type 0
    bool gaps_allowed = false; ///< frame numbers may be left out on purpose
};

/// `unit`: one NAL unit of type 7, with its header byte, without start code. None where it ends early or holds what
/// no standard value is.
std::optional<SequenceParameters> parse_sequence_parameters(std::span<std::byte const> unit);

/// pic_parameter_set_id of a NAL unit of type 8.
std::optional<int> parse_picture_parameters_id(std::span<std::byte const> unit);
/// The set of sequence parameters that it belongs to.
std::optional<int> parse_sequence_of_picture_parameters(std::span<std::byte const> unit);

/// The beginning of a slice's header (7.3.3).
struct SliceHeader {
    unsigned first_macroblock = 0;
    int picture_set = 0;
    int frame_number = 0; ///< frame_num
    int order_count = 0;  ///< pic_order_cnt_lsb; 0 where its sequence counts in another way
    bool field = false;   ///< one field of a picture
};

/// pic_parameter_set_id of a slice (nal_unit_type 1 or 5).
std::optional<int> parse_picture_set_of_slice(std::span<std::byte const> unit);
/// None where the unit is no slice, ends early or holds what no standard value is. `sequence`: what its set belongs to.
std::optional<SliceHeader> parse_slice_header(std::span<std::byte const> unit, SequenceParameters const& sequence);

/// The decoder configuration record of MP4 and Matroska (ISO/IEC 14496-15, 5.3.3.1): "avcC".
struct AvcConfiguration {
    int profile = 0;
    int compatibility = 0;
    int level = 0;
    int length_bytes = 4;                              ///< of the number before each NAL unit of the stream: 1, 2 or 4
    std::vector<std::vector<std::byte>> sequence_sets; ///< whole NAL units
    std::vector<std::vector<std::byte>> picture_sets;
    std::vector<std::byte> extension; ///< what follows them: chroma format and depths, for the high profiles

    static std::optional<AvcConfiguration> parse(std::span<std::byte const> record);
    std::vector<std::byte> bytes() const;
};

/// nal_unit_type of a unit's first byte.
constexpr int nal_type(std::byte first) { return static_cast<int>(first) & 0x1f; }
constexpr int kSlice = 1;
constexpr int kIdrSlice = 5;
constexpr int kSequenceSet = 7;
constexpr int kPictureSet = 8;

/// The NAL units of a coded picture whose units stand behind `length_bytes`-byte big-endian numbers. None where a
/// number points behind the end.
std::optional<std::vector<std::span<std::byte const>>> split_counted_units(std::span<std::byte const> picture,
                                                                           int length_bytes);
/// The NAL units of a byte stream with start codes (ITU-T H.264, annex B).
std::vector<std::span<std::byte const>> split_start_codes(std::span<std::byte const> stream);

} // namespace tabard::pipeline
