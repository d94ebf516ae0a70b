#include "overlay/base/text_encoding.h"

#include <gtest/gtest.h>

namespace tabard {
namespace {

using namespace std::string_literals;

// RFC 2781, 3: U+10000 is D800 DC00; the mark FE FF is big-endian, FF FE little-endian.
TEST(TextOfBytes, IsUtf16WhereAMarkSaysSo)
{
    EXPECT_EQ(text_of_bytes("\xFE\xFF\0A\0\xE9\x20\xAC\xD8\0\xDC\0"s), "A\u00E9\u20AC\U00010000");
    EXPECT_EQ(text_of_bytes("\xFF\xFE"
                            "A\0\xE9\0\xAC\x20\0\xD8\0\xDC"s),
              "A\u00E9\u20AC\U00010000");
}

TEST(TextOfBytes, ReplacesHalvesOfPairs)
{
    EXPECT_EQ(text_of_bytes("\xFE\xFF\xD8\0\0A\xDC\0"s), "\uFFFDA\uFFFD");
    EXPECT_EQ(text_of_bytes("\xFE\xFF\0A\xD8\0"s), "A\uFFFD");
    EXPECT_EQ(text_of_bytes("\xFE\xFF\0A\0"s), "A\uFFFD");
    EXPECT_EQ(text_of_bytes("\xFE\xFF"s), "");
}

TEST(TextOfBytes, IsTheBytesElse)
{
    EXPECT_EQ(text_of_bytes("\xEF\xBB\xBF\u00E9"), "\u00E9");
    EXPECT_EQ(text_of_bytes("a\xFF"), "a\xFF");
}

} // namespace
} // namespace tabard
