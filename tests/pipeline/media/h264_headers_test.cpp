#include "pipeline/media/read/h264_headers.h"

#include <span>
#include <vector>

#include <gtest/gtest.h>

namespace tabard::pipeline {
namespace {

std::vector<std::byte> bytes(std::initializer_list<int> values)
{
    std::vector<std::byte> result;
    for (int const value : values)
        result.push_back(static_cast<std::byte>(value));
    return result;
}

// Written bit by bit after ITU-T H.264, 7.3.2.1.1: nal_unit_type 7; profile 66, constraints 0xC0, level 30;
// ue(0) id | ue(0) log2_max_frame_num-4 | ue(2) order count type | ue(1) reference frames | 0 gaps |
// ue(19) width in macroblocks - 1 | ue(14) height - 1 | 1 frames only | 1 direct_8x8 | 0 crop | 0 vui | stop bit
// 1 1 011 010 | 0 0000 101 00 0001 111 | 1 1 0 0 1 -> 11011010 00000101 00000111 11100100
TEST(SequenceParameters, AreReadAsTheStandardWritesThem)
{
    auto const set = parse_sequence_parameters(bytes({0x67, 66, 0xC0, 30, 0xDA, 0x05, 0x07, 0xE4}));
    ASSERT_TRUE(set);
    EXPECT_EQ(set->profile, 66);
    EXPECT_EQ(set->level, 30);
    EXPECT_EQ(set->id, 0);
    EXPECT_EQ(set->reference_frames, 1);
    EXPECT_EQ(set->chroma_format, 1);
    EXPECT_EQ(set->bit_depth, 8);
    EXPECT_TRUE(set->frames_only);
}

// 7.3.3 for a sequence of 4 bits of frame_num and order count type 2, as above: ue(0) first macroblock | ue(5) slice
// type | ue(0) picture set | u(4) 9: 1 00110 1 1001 -> 10011011 001.....; of type 0 with 4 bits, u(4) 6 follows.
TEST(SliceHeader, IsReadAsTheStandardWritesIt)
{
    auto const unit = bytes({0x41, 0x9B, 0x2C, 0x80});
    auto const sequence = parse_sequence_parameters(bytes({0x67, 66, 0xC0, 30, 0xDA, 0x05, 0x07, 0xE4}));
    ASSERT_TRUE(sequence);
    EXPECT_EQ(sequence->frame_number_bits, 4);
    EXPECT_EQ(sequence->order_count_type, 2);
    EXPECT_EQ(parse_picture_set_of_slice(unit), 0);
    auto const slice = parse_slice_header(unit, *sequence);
    ASSERT_TRUE(slice);
    EXPECT_EQ(slice->first_macroblock, 0U);
    EXPECT_EQ(slice->frame_number, 9);
    EXPECT_EQ(slice->order_count, 0);
    SequenceParameters ordered = *sequence;
    ordered.order_count_type = 0;
    ordered.order_count_bits = 4;
    EXPECT_EQ(parse_slice_header(unit, ordered)->order_count, 6);
    EXPECT_FALSE(parse_slice_header(bytes({0x41, 0x9B}), *sequence));
    EXPECT_FALSE(parse_slice_header(bytes({0x67, 0x9B, 0x2C, 0x80}), *sequence));
}

TEST(SequenceParameters, ThatEndEarlyAreRefused)
{
    auto const whole = bytes({0x67, 66, 0xC0, 30, 0xDA, 0x05, 0x07, 0xE4});
    for (std::size_t length = 0; length < 7; ++length)
        EXPECT_FALSE(parse_sequence_parameters(std::span(whole).first(length))) << length;
    EXPECT_FALSE(parse_sequence_parameters(bytes({0x68, 66, 0xC0, 30, 0xDA, 0x05, 0x07, 0xE4}))); // a picture set
}

// ISO/IEC 14496-15, 5.3.3.1.2.
TEST(AvcConfiguration, IsWrittenAsItWasRead)
{
    auto const record = bytes({1, 100, 0, 31, 0xff, 0xe1, 0, 3, 0x67, 1, 2, 1, 0, 2, 0x68, 9, 0xfd, 0xf8, 0xf8, 0});
    auto const configuration = AvcConfiguration::parse(record);
    ASSERT_TRUE(configuration);
    EXPECT_EQ(configuration->length_bytes, 4);
    EXPECT_EQ(configuration->sequence_sets.size(), 1u);
    EXPECT_EQ(configuration->picture_sets[0], bytes({0x68, 9}));
    EXPECT_EQ(configuration->extension, bytes({0xfd, 0xf8, 0xf8, 0}));
    EXPECT_EQ(configuration->bytes(), record);
    for (std::size_t length = 0; length < 16; ++length)
        EXPECT_FALSE(AvcConfiguration::parse(std::span(record).first(length))) << length;
}

TEST(NalUnits, AreFoundBehindCountsAndBetweenStartCodes)
{
    auto const picture = bytes({0, 2, 0x65, 7, 0, 1, 0x41});
    auto const counted = split_counted_units(picture, 2);
    ASSERT_TRUE(counted);
    ASSERT_EQ(counted->size(), 2u);
    EXPECT_EQ(nal_type((*counted)[0][0]), kIdrSlice);
    EXPECT_FALSE(split_counted_units(bytes({0, 3, 0x65, 7}), 2));
    EXPECT_FALSE(split_counted_units(bytes({0}), 2));

    auto const stream = bytes({0, 0, 0, 1, 0x67, 5, 0, 0, 1, 0x68, 6, 0, 0, 0, 1, 0x65, 0, 0, 3, 1});
    auto const units = split_start_codes(stream);
    ASSERT_EQ(units.size(), 3u);
    EXPECT_EQ(units[0].size(), 2u);
    EXPECT_EQ(units[1].size(), 2u);
    EXPECT_EQ(units[2].size(), 5u);
    EXPECT_TRUE(split_start_codes({}).empty());
}

} // namespace
} // namespace tabard::pipeline
