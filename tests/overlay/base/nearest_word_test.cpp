#include "overlay/base/nearest_word.h"

#include <string>
#include <string_view>
#include <vector>

#include <gtest/gtest.h>

namespace tabard {
namespace {

// Counted by hand: a letter added, dropped, changed, or two neighbours swapped is one edit each.
TEST(EditDistance, CountsTheSlipsOfATypist)
{
    EXPECT_EQ(edit_distance("tuning", "tuning"), 0U);
    EXPECT_EQ(edit_distance("tunig", "tuning"), 1U);
    EXPECT_EQ(edit_distance("tunning", "tuning"), 1U);
    EXPECT_EQ(edit_distance("tunimg", "tuning"), 1U);
    EXPECT_EQ(edit_distance("tunign", "tuning"), 1U);
    EXPECT_EQ(edit_distance("Tuning", "tUNING"), 0U) << "upper and lower case are the same letter";
    EXPECT_EQ(edit_distance("", "capo"), 4U);
    EXPECT_EQ(edit_distance("kitten", "sitting"), 3U);
}

TEST(NearestWord, IsTheOneThatWasMeant)
{
    std::vector<std::string_view> const words{"title", "tuning", "tempo", "to", "M7"};
    EXPECT_EQ(nearest_word("tunign", words), "tuning");
    EXPECT_EQ(nearest_word("TEMPO", words), "tempo");
    EXPECT_EQ(nearest_word("titles", words), "title");
    EXPECT_EQ(nearest_word("96", {{"6", "m6"}}), "6") << "the first of equals";
    EXPECT_EQ(nearest_word("", {{"m", ""}}), "") << "what is right is nearest";
}

TEST(NearestWord, IsNoneWhereNothingIsNear)
{
    std::vector<std::string_view> const words{"title", "to"};
    EXPECT_FALSE(nearest_word("capo", words));
    EXPECT_FALSE(nearest_word("xy", words)) << "two edits would change the whole word";
    EXPECT_FALSE(nearest_word("", words));
    EXPECT_FALSE(nearest_word("title", {}));
    EXPECT_FALSE(nearest_word(std::string(65, 't'), words)) << "no word is that long";
}

} // namespace
} // namespace tabard
