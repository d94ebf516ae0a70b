#include "overlay/base/characters.h"

#include <string>
#include <string_view>
#include <vector>

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

namespace tabard {
namespace {

TEST(Characters, AreCountedWhole)
{
    std::string_view const text = "F\u266F\U0001F3B8m"; // 1 + 3 + 4 + 1 bytes
    EXPECT_EQ(count_characters(text), 4U);
    EXPECT_EQ(without_byte_order_mark("\uFEFFF"), "F");
    EXPECT_EQ(without_byte_order_mark("F\uFEFF"), "F\uFEFF");
}

// By the definition of UTF-8: no byte of the form 10xxxxxx begins a character.
RC_GTEST_PROP(Characters, AreCountedWhateverTheirBytes, ())
{
    auto const pieces = *rc::gen::container<std::vector<std::string>>(
        rc::gen::element<std::string>("F", "\u00E9", "\u266F", "\U0001F3B8"));
    std::string text;
    for (auto const& piece : pieces)
        text += piece;
    RC_ASSERT(count_characters(text) == pieces.size());
}

} // namespace
} // namespace tabard
