#include "pipeline/desk/server/byte_range.h"

#include <gtest/gtest.h>

namespace tabard::pipeline {
namespace {

struct Case {
    char const* header;
    Ranged ranged;
    ByteRange range;
};

// The first four are the examples of RFC 9110, section 14.1.2, for 10,000 bytes.
constexpr Case kCases[] = {
    {"bytes=0-499", Ranged::part, {0, 500}},
    {"bytes=500-999", Ranged::part, {500, 500}},
    {"bytes=-500", Ranged::part, {9500, 500}},
    {"bytes=9500-", Ranged::part, {9500, 500}},
    {"bytes=0-", Ranged::part, {0, 10'000}},
    {"bytes=0-0", Ranged::part, {0, 1}},
    {"bytes=-1", Ranged::part, {9999, 1}},
    {"bytes=9999-20000", Ranged::part, {9999, 1}},
    {"bytes=0-99999999999999999999999", Ranged::part, {0, 10'000}},
    {"bytes=-20000", Ranged::part, {0, 10'000}},
    {"bytes=10000-", Ranged::beyond, {}},
    {"bytes=99999999999999999999999-", Ranged::beyond, {}},
    {"bytes=-0", Ranged::beyond, {}},
    {"", Ranged::whole, {0, 10'000}},
    {"bytes=5-2", Ranged::whole, {0, 10'000}},
    {"bytes=0-0,5-6", Ranged::whole, {0, 10'000}},
    {"bytes=-", Ranged::whole, {0, 10'000}},
    {"bytes=a-b", Ranged::whole, {0, 10'000}},
    {"bytes=--5", Ranged::whole, {0, 10'000}},
    {"bytes= 0-5", Ranged::whole, {0, 10'000}},
    {"seconds=0-5", Ranged::whole, {0, 10'000}},
};

TEST(RangeOfAFile, IsWhatAPlayerAsksFor)
{
    for (Case const& c : kCases) {
        SCOPED_TRACE(c.header);
        auto const read = read_range(c.header, 10'000);
        EXPECT_EQ(read.ranged, c.ranged);
        if (c.ranged != Ranged::beyond) {
            EXPECT_EQ(read.range, c.range);
        }
    }
}

TEST(RangeOfAFile, OfAnEmptyFileIsNone)
{
    EXPECT_EQ(read_range("bytes=0-", 0).ranged, Ranged::beyond);
    EXPECT_EQ(read_range("bytes=-5", 0).ranged, Ranged::beyond);
    EXPECT_EQ(read_range("", 0).range, (ByteRange{0, 0}));
}

} // namespace
} // namespace tabard::pipeline
