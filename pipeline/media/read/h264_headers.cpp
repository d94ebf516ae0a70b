#include "pipeline/media/read/h264_headers.h"

#include <algorithm>

namespace tabard::pipeline {
namespace {

using Bytes = std::span<std::byte const>;

// Bits of a NAL unit's payload: skips the emulation prevention bytes (ITU-T H.264, 7.4.1).
class BitReader {
public:
    explicit BitReader(Bytes unit) : m_bytes(unit) {}

    unsigned bit()
    {
        if (m_bit == 0 && m_zeros >= 2 && m_at < m_bytes.size() && m_bytes[m_at] == std::byte{3}) {
            ++m_at;
            m_zeros = 0;
        }
        if (m_at >= m_bytes.size()) {
            m_failed = true;
            return 0;
        }
        unsigned const value = static_cast<unsigned>(m_bytes[m_at]) >> (7 - m_bit) & 1;
        if (++m_bit == 8) {
            m_zeros = m_bytes[m_at] == std::byte{0} ? m_zeros + 1 : 0;
            m_bit = 0;
            ++m_at;
        }
        return value;
    }
    unsigned bits(int count)
    {
        unsigned value = 0;
        for (int i = 0; i < count; ++i)
            value = value << 1 | bit();
        return value;
    }
    /// ue(v), clause 9.1.
    unsigned number()
    {
        int zeros = 0;
        while (!m_failed && bit() == 0)
            if (++zeros > 31)
                m_failed = true;
        return m_failed ? 0 : (1u << zeros) - 1 + bits(zeros);
    }
    /// A number that the standard bounds; one above is none.
    int small_number(int most)
    {
        unsigned const value = number();
        m_failed = m_failed || value > static_cast<unsigned>(most);
        return m_failed ? 0 : static_cast<int>(value);
    }
    int signed_number()
    {
        unsigned const code = number();
        auto const half = static_cast<int>((code + 1) / 2);
        return code % 2 == 1 ? half : -half;
    }
    bool failed() const { return m_failed; }
    void fail() { m_failed = true; }

private:
    Bytes m_bytes;
    std::size_t m_at = 0;
    int m_bit = 0;
    int m_zeros = 0;
    bool m_failed = false;
};

bool has_chroma_fields(int profile)
{
    constexpr int kProfiles[] = {100, 110, 122, 244, 44, 83, 86, 118, 128, 138, 139, 134, 135};
    return std::find(std::begin(kProfiles), std::end(kProfiles), profile) != std::end(kProfiles);
}

void skip_scaling_list(BitReader& in, int size)
{
    int last = 8;
    int next = 8;
    for (int i = 0; i < size && !in.failed(); ++i) {
        if (next != 0) {
            int const step = in.signed_number(); // delta_scale, -128 to 127
            if (step < -128 || step > 127)
                in.fail();
            else
                next = (last + step + 256) % 256;
        }
        last = next == 0 ? last : next;
    }
}

void read_chroma_fields(BitReader& in, SequenceParameters& set)
{
    set.chroma_format = in.small_number(3);
    if (set.chroma_format == 3)
        set.separate_planes = in.bit() == 1;
    set.bit_depth = 8 + std::max(in.small_number(6), in.small_number(6));
    in.bit(); // qpprime_y_zero_transform_bypass_flag
    if (in.bit() == 0)
        return;
    for (int i = 0; i < (set.chroma_format == 3 ? 12 : 8); ++i)
        if (in.bit() == 1)
            skip_scaling_list(in, i < 6 ? 16 : 64);
}

void read_order_count(BitReader& in, SequenceParameters& set)
{
    set.order_count_type = in.small_number(2);
    if (set.order_count_type == 0) {
        set.order_count_bits = 4 + in.small_number(12);
    } else if (set.order_count_type == 1) {
        in.bit();
        in.signed_number();
        in.signed_number();
        unsigned const cycle = in.number();
        if (cycle > 255)
            in.fail();
        for (unsigned i = 0; i < cycle && !in.failed(); ++i)
            in.signed_number();
    }
}

// A list of units, each behind a 16-bit length.
bool take_units(Bytes& from, int count, std::vector<std::vector<std::byte>>& to)
{
    for (int i = 0; i < count; ++i) {
        if (from.size() < 2)
            return false;
        std::size_t const size = static_cast<std::size_t>(from[0]) << 8 | static_cast<std::size_t>(from[1]);
        if (size == 0 || from.size() < 2 + size)
            return false;
        to.emplace_back(from.begin() + 2, from.begin() + 2 + static_cast<std::ptrdiff_t>(size));
        from = from.subspan(2 + size);
    }
    return true;
}

void put_units(std::vector<std::byte>& to, std::vector<std::vector<std::byte>> const& units)
{
    for (std::vector<std::byte> const& unit : units) {
        to.push_back(static_cast<std::byte>(unit.size() >> 8));
        to.push_back(static_cast<std::byte>(unit.size() & 0xff));
        to.insert(to.end(), unit.begin(), unit.end());
    }
}

} // namespace

std::optional<SequenceParameters> parse_sequence_parameters(Bytes unit)
{
    if (unit.empty() || nal_type(unit[0]) != kSequenceSet)
        return std::nullopt;
    BitReader in(unit.subspan(1));
    SequenceParameters set;
    set.profile = static_cast<int>(in.bits(8));
    set.constraints = static_cast<int>(in.bits(8));
    set.level = static_cast<int>(in.bits(8));
    set.id = in.small_number(31);
    if (has_chroma_fields(set.profile))
        read_chroma_fields(in, set);
    set.frame_number_bits = 4 + in.small_number(12);
    read_order_count(in, set);
    set.reference_frames = in.small_number(16);
    set.gaps_allowed = in.bit() == 1;
    in.number(); // width
    in.number(); // height
    set.frames_only = in.bit() == 1;
    if (in.failed())
        return std::nullopt;
    return set;
}

std::optional<int> parse_picture_parameters_id(Bytes unit)
{
    if (unit.empty() || nal_type(unit[0]) != kPictureSet)
        return std::nullopt;
    BitReader in(unit.subspan(1));
    int const id = in.small_number(255);
    return in.failed() ? std::nullopt : std::optional(id);
}

std::optional<int> parse_sequence_of_picture_parameters(Bytes unit)
{
    if (unit.empty() || nal_type(unit[0]) != kPictureSet)
        return std::nullopt;
    BitReader in(unit.subspan(1));
    in.small_number(255);
    int const id = in.small_number(31);
    return in.failed() ? std::nullopt : std::optional(id);
}

std::optional<int> parse_picture_set_of_slice(Bytes unit)
{
    if (unit.empty() || (nal_type(unit[0]) != kSlice && nal_type(unit[0]) != kIdrSlice))
        return std::nullopt;
    BitReader in(unit.subspan(1));
    in.number(); // first_mb_in_slice
    in.small_number(9);
    int const set = in.small_number(255);
    return in.failed() ? std::nullopt : std::optional(set);
}

std::optional<SliceHeader> parse_slice_header(Bytes unit, SequenceParameters const& sequence)
{
    if (!parse_picture_set_of_slice(unit))
        return std::nullopt;
    BitReader in(unit.subspan(1));
    SliceHeader slice;
    slice.first_macroblock = in.number();
    in.small_number(9); // slice_type
    slice.picture_set = in.small_number(255);
    if (sequence.separate_planes)
        in.bits(2);
    slice.frame_number = static_cast<int>(in.bits(sequence.frame_number_bits));
    if (!sequence.frames_only) {
        slice.field = in.bit() == 1;
        if (slice.field)
            in.bit(); // bottom_field_flag
    }
    if (nal_type(unit[0]) == kIdrSlice)
        in.small_number(65535); // idr_pic_id
    if (sequence.order_count_type == 0)
        slice.order_count = static_cast<int>(in.bits(sequence.order_count_bits));
    return in.failed() ? std::nullopt : std::optional(slice);
}

std::optional<AvcConfiguration> AvcConfiguration::parse(Bytes record)
{
    if (record.size() < 7 || record[0] != std::byte{1})
        return std::nullopt;
    AvcConfiguration configuration;
    configuration.profile = static_cast<int>(record[1]);
    configuration.compatibility = static_cast<int>(record[2]);
    configuration.level = static_cast<int>(record[3]);
    configuration.length_bytes = (static_cast<int>(record[4]) & 3) + 1;
    int const sequence_sets = static_cast<int>(record[5]) & 0x1f;
    Bytes rest = record.subspan(6);
    if (!take_units(rest, sequence_sets, configuration.sequence_sets) || rest.empty())
        return std::nullopt;
    int const picture_sets = static_cast<int>(rest[0]);
    rest = rest.subspan(1);
    if (!take_units(rest, picture_sets, configuration.picture_sets))
        return std::nullopt;
    configuration.extension.assign(rest.begin(), rest.end());
    return configuration;
}

std::vector<std::byte> AvcConfiguration::bytes() const
{
    auto const byte = [](int value) { return static_cast<std::byte>(value); };
    std::vector<std::byte> record = {byte(1),
                                     byte(profile),
                                     byte(compatibility),
                                     byte(level),
                                     byte(0xfc | (length_bytes - 1)),
                                     byte(0xe0 | static_cast<int>(sequence_sets.size()))};
    put_units(record, sequence_sets);
    record.push_back(byte(static_cast<int>(picture_sets.size())));
    put_units(record, picture_sets);
    record.insert(record.end(), extension.begin(), extension.end());
    return record;
}

std::optional<std::vector<Bytes>> split_counted_units(Bytes picture, int length_bytes)
{
    std::vector<Bytes> units;
    while (!picture.empty()) {
        if (picture.size() < static_cast<std::size_t>(length_bytes))
            return std::nullopt;
        std::size_t size = 0;
        for (int i = 0; i < length_bytes; ++i)
            size = size << 8 | static_cast<std::size_t>(picture[static_cast<std::size_t>(i)]);
        picture = picture.subspan(static_cast<std::size_t>(length_bytes));
        if (size == 0 || size > picture.size())
            return std::nullopt;
        units.push_back(picture.first(size));
        picture = picture.subspan(size);
    }
    return units;
}

std::vector<Bytes> split_start_codes(Bytes stream)
{
    constexpr std::byte kStart[] = {std::byte{0}, std::byte{0}, std::byte{1}};
    std::vector<Bytes> units;
    auto begin = std::search(stream.begin(), stream.end(), std::begin(kStart), std::end(kStart));
    while (begin != stream.end()) {
        begin += 3;
        auto const next = std::search(begin, stream.end(), std::begin(kStart), std::end(kStart));
        auto end = next;
        while (end != begin && *(end - 1) == std::byte{0}) // trailing zeros, or the longer start code
            --end;
        if (end != begin)
            units.emplace_back(begin, end);
        begin = next;
    }
    return units;
}

} // namespace tabard::pipeline
