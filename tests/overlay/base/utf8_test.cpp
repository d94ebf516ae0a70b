#include "overlay/base/utf8.h"

#include <string>

#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace tabard {
namespace {

struct Sequence {
    std::string bytes;
    std::size_t length;
    char32_t code;
    char const* source;
};

// RFC 3629, section 4: the syntax of UTF-8 byte sequences.
TEST(Utf8, IsWhatTheStandardAllowsAndNothingElse)
{
    for (auto const& [bytes, length, code, source] : {
             Sequence{"A", 1, U'A', "UTF8-1"},
             {"\xC2\x80", 2, 0x80, "the lowest of two bytes"},
             {"\xE2\x99\xAF", 3, 0x266F, "a sharp"},
             {"\xEF\xBF\xBF", 3, 0xFFFF, "the highest of three bytes"},
             {"\xF0\x9F\x8E\xB8", 4, 0x1F3B8, "a guitar"},
             {"\xF4\x8F\xBF\xBF", 4, 0x10FFFF, "the last code point"},
             {"\xC1\xBF", 0, 0, "overlong"},
             {"\xE0\x9F\xBF", 0, 0, "overlong"},
             {"\xF0\x8F\xBF\xBF", 0, 0, "overlong"},
             {"\xED\xA0\x80", 0, 0, "a surrogate"},
             {"\xF4\x90\x80\x80", 0, 0, "above U+10FFFF"},
             {"\x80", 0, 0, "a byte that continues nothing"},
             {"\xE2\x99", 0, 0, "cut short"},
             {"\xC3"
              "A",
              0, 0, "not continued"},
             {"", 0, 0, "nothing"},
         }) {
        SCOPED_TRACE(source);
        EXPECT_EQ(utf8_length(bytes), length);
        EXPECT_EQ(utf8_length(bytes + "x"), bytes.empty() ? 1 : length);
        if (length > 0) {
            EXPECT_EQ(utf8_code_point(bytes), code);
        }
    }
}

TEST(Utf8, SaysWhereTextIsBrokenAndReplacesIt)
{
    EXPECT_EQ(first_invalid_utf8("caf\xC3\xA9"), 5U);
    EXPECT_EQ(first_invalid_utf8("caf\xE9!"), 3U);
    EXPECT_EQ(valid_utf8("caf\xE9!\xFF"), "caf\uFFFD!\uFFFD");
    EXPECT_EQ(valid_utf8("caf\u00E9"), "caf\u00E9");
}

// The line ends of Unicode (UAX #14, class BK, and NEL) and the controls of ECMA-48.
TEST(Utf8, IsBroughtToOneLineForAnyReader)
{
    EXPECT_EQ(on_one_line("a\nb\r\nc\td\x1B"
                          "e\x7F"
                          "f"),
              "a b  c d e f");
    EXPECT_EQ(on_one_line("a\u0085b\u2028c\u2029d\x0B"
                          "e"),
              "a b c d e");
    EXPECT_EQ(on_one_line("F\u266F \xFF"), "F\u266F \uFFFD");
}

} // namespace
} // namespace tabard
