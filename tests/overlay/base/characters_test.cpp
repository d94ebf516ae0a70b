#include "overlay/base/characters.h"

#include <algorithm>
#include <string>
#include <string_view>
#include <vector>

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

namespace tabard {
namespace {

TEST(Characters, AreCountedAndCutWhole)
{
    std::string_view const text = "F\u266F\U0001F3B8m"; // 1 + 3 + 4 + 1 bytes
    EXPECT_EQ(count_characters(text), 4U);
    EXPECT_EQ(first_characters(text, 3), "F");
    EXPECT_EQ(first_characters(text, 4), "F\u266F");
    EXPECT_EQ(first_characters(text, 7), "F\u266F");
    EXPECT_EQ(first_characters(text, 9), text);
    EXPECT_EQ(first_characters(text, 0), "");
    EXPECT_EQ(last_characters(text, 4), "m");
    EXPECT_EQ(last_characters(text, 5), "\U0001F3B8m");
    EXPECT_EQ(last_characters(text, 99), text);
    EXPECT_EQ(without_byte_order_mark("\uFEFFF"), "F");
    EXPECT_EQ(without_byte_order_mark("F\uFEFF"), "F\uFEFF");
}

// By the definition of UTF-8: no byte of the form 10xxxxxx begins a character.
RC_GTEST_PROP(Characters, AreNeverCutInTwo, ())
{
    auto const pieces = *rc::gen::container<std::vector<std::string>>(
        rc::gen::element<std::string>("F", "\u00E9", "\u266F", "\U0001F3B8"));
    std::string text;
    for (auto const& piece : pieces)
        text += piece;
    RC_ASSERT(count_characters(text) == pieces.size());
    auto const most = *rc::gen::inRange<std::size_t>(0, text.size() + 2);
    auto const first = first_characters(text, most);
    auto const last = last_characters(text, most);
    RC_ASSERT((first.size() <= most && last.size() <= most));
    RC_ASSERT((first.size() + 3 >= std::min(most, text.size()) && last.size() + 3 >= std::min(most, text.size())));
    RC_ASSERT(count_characters(first) + count_characters(std::string_view(text).substr(first.size())) == pieces.size());
    RC_ASSERT((last.empty() || !continues_character(last.front())));
    RC_ASSERT((first.size() == text.size() || !continues_character(text[first.size()])));
}

} // namespace
} // namespace tabard
