#include "pipeline/media/read/coded_order.h"

#include <algorithm>
#include <cstring>
#include <vector>

namespace tabard::pipeline {
namespace {

using Bytes = std::span<std::byte const>;

int value(std::byte byte) { return static_cast<int>(byte); }

// Some programs fill a unit up with a few zeros.
constexpr std::size_t kFilling = 8;

// Inside a unit no two zeros are followed by 0, 1 or 2, nor by a 3 and more than 3 (ITU-T H.264, 7.4.1; H.265, 7.4.2).
// What was never written or was overwritten has such places.
bool has_impossible_bytes(Bytes unit)
{
    std::size_t end = unit.size();
    while (end > 0 && unit.size() - end < kFilling && unit[end - 1] == std::byte{0})
        --end;
    for (std::size_t i = 0; i + 2 < end; ++i) {
        auto const* const zero = static_cast<std::byte const*>(std::memchr(&unit[i], 0, end - 2 - i));
        if (!zero)
            return false;
        i = static_cast<std::size_t>(zero - unit.data());
        if (unit[i + 1] != std::byte{0})
            continue;
        int const third = value(unit[i + 2]);
        if (third < 3 || (third == 3 && i + 3 < end && value(unit[i + 3]) > 3))
            return true;
    }
    return false;
}

// ISO/IEC 14496-15, 5.3.3.1 and 8.3.3.1: the records of both begin with a version of 1.
int length_bytes_of(CodedOrder::Codec codec, Bytes configuration)
{
    std::size_t const place = codec == CodedOrder::Codec::h264 ? 4 : 21;
    bool const record = configuration.size() > place + 1 && configuration[0] == std::byte{1};
    return record ? (value(configuration[place]) & 3) + 1 : 0;
}

} // namespace

CodedOrder::CodedOrder(Codec codec, Bytes configuration) : m_codec(codec)
{
    if (codec == Codec::other)
        return;
    m_length_bytes = length_bytes_of(codec, configuration);
    if (codec != Codec::h264)
        return;
    if (m_length_bytes == 0) {
        for (Bytes const unit : split_start_codes(configuration))
            learn(unit);
    } else if (auto const record = AvcConfiguration::parse(configuration)) {
        for (auto const& unit : record->sequence_sets)
            learn(unit);
        for (auto const& unit : record->picture_sets)
            learn(unit);
    }
}

void CodedOrder::learn(Bytes unit)
{
    if (auto const sequence = parse_sequence_parameters(unit))
        m_sequences[sequence->id] = *sequence;
    auto const id = parse_picture_parameters_id(unit);
    auto const of = parse_sequence_of_picture_parameters(unit);
    if (id && of)
        m_sequence_of_picture_set[*id] = *of;
}

SequenceParameters const* CodedOrder::sequence_of(Bytes slice) const
{
    auto const set = parse_picture_set_of_slice(slice);
    auto const of = set ? m_sequence_of_picture_set.find(*set) : m_sequence_of_picture_set.end();
    if (of == m_sequence_of_picture_set.end())
        return nullptr;
    auto const sequence = m_sequences.find(of->second);
    return sequence == m_sequences.end() ? nullptr : &sequence->second;
}

CodedOrder::Picture CodedOrder::add(Bytes data)
{
    Picture picture;
    if (m_codec == Codec::other || (m_codec == Codec::hevc && m_length_bytes == 0))
        return picture;
    std::vector<Bytes> units;
    if (m_length_bytes == 0) {
        units = split_start_codes(data);
    } else if (auto counted = split_counted_units(data, m_length_bytes)) {
        units = *std::move(counted);
        picture.whole = !units.empty();
    } else {
        picture.whole = false;
    }
    bool const counted = m_length_bytes > 0;
    auto const broken = [&](Bytes unit) {
        return (value(unit[0]) & 0x80) != 0 || (counted && has_impossible_bytes(unit));
    };
    picture.whole = picture.whole && std::ranges::none_of(units, broken);
    auto const is_slice = [](Bytes unit) { return nal_type(unit[0]) == kSlice || nal_type(unit[0]) == kIdrSlice; };
    if (m_codec != Codec::h264)
        return picture;
    for (Bytes const unit : units)
        learn(unit);
    auto const slice = std::ranges::find_if(units, is_slice);
    if (picture.whole && slice != units.end())
        number(*slice, picture);
    if (!picture.numbered)
        m_last_reference.reset();
    return picture;
}

void CodedOrder::number(Bytes unit, Picture& picture)
{
    SequenceParameters const* const sequence = sequence_of(unit);
    auto const slice = sequence ? parse_slice_header(unit, *sequence) : std::nullopt;
    picture.whole = !sequence || slice;
    if (!slice || slice->field)
        return;
    picture.numbered = true;
    picture.begins = nal_type(unit[0]) == kIdrSlice;
    bool const reference = (value(unit[0]) & 0x60) != 0; // nal_ref_idc
    int const numbers = 1 << sequence->frame_number_bits;
    if (picture.begins)
        picture.whole = slice->frame_number == 0;
    else if (m_last_reference && !sequence->gaps_allowed && slice->frame_number != *m_last_reference)
        picture.missing = (slice->frame_number - *m_last_reference - 1 + numbers) % numbers;
    if (picture.begins || m_last_reference) // else the high part of its order is not known
        picture.order = sequence->order_count_type == 1
                            ? std::nullopt
                            : std::optional(order_of(*slice, *sequence, picture.begins, reference));
    m_last_number = slice->frame_number;
    if (reference || picture.missing > 0)
        m_last_reference = reference ? slice->frame_number : (slice->frame_number - 1 + numbers) % numbers;
}

std::int64_t CodedOrder::order_of(SliceHeader const& slice, SequenceParameters const& sequence, bool begins,
                                  bool reference)
{
    if (sequence.order_count_type == 2) { // 8.2.1.3
        if (begins)
            m_number_offset = 0;
        else if (m_last_number > slice.frame_number)
            m_number_offset += 1 << sequence.frame_number_bits;
        return 2 * (m_number_offset + slice.frame_number) - (reference ? 0 : 1);
    }
    std::int64_t const range = std::int64_t{1} << sequence.order_count_bits; // 8.2.1.1
    std::int64_t high = begins ? 0 : m_high_part;
    int const last = begins ? 0 : m_low_part;
    if (slice.order_count < last && last - slice.order_count >= range / 2)
        high += range;
    else if (slice.order_count > last && slice.order_count - last > range / 2)
        high -= range;
    if (reference) {
        m_high_part = high;
        m_low_part = slice.order_count;
    }
    return high + slice.order_count;
}

} // namespace tabard::pipeline
