#include "overlay/music/patterns/strum_pattern.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace tabard::overlay {
namespace {

using testing::ElementsAre;

TEST(StrumPattern, PrintsBackWhatItRead)
{
    for (auto const* text : {"Dp - Dx Ui - Ui D> Ui", "6p 3i 2m 3i", "Rp 3i+2m - R+1a>", "D U Dx> Ua"})
        EXPECT_EQ(StrumPattern::parse(text)->text(), text);
}

TEST(StrumPattern, NamesTheStepItDoesNotKnowAndWhereItStands)
{
    EXPECT_EQ(StrumPattern::parse("D U Q U").error().what.substr(0, 46),
              "\"Q\" at position 5 of the pattern is not a step");
}

TEST(StrumPattern, HasToDivideTheBar)
{
    auto const eight = *StrumPattern::parse("D - D U - U D U");
    EXPECT_TRUE(fits_bar(eight, {4, 4}));
    EXPECT_FALSE(fits_bar(eight, {3, 4}));
    EXPECT_FALSE(fits_bar(eight, {6, 8}));
}

// What is counted aloud: common practice, no published source.
TEST(CountSyllables, FollowTheMeter)
{
    EXPECT_THAT(count_syllables({4, 4}, 8), ElementsAre("1", "&", "2", "&", "3", "&", "4", "&"));
    EXPECT_THAT(count_syllables({2, 4}, 8), ElementsAre("1", "e", "&", "a", "2", "e", "&", "a"));
    EXPECT_THAT(count_syllables({6, 8}, 6), ElementsAre("1", "2", "3", "4", "5", "6"));
    EXPECT_THAT(count_syllables({3, 4}, 3), ElementsAre("1", "2", "3"));
    EXPECT_THAT(count_syllables({2, 4}, 6), ElementsAre("1", "&", "a", "2", "&", "a"));
    EXPECT_THAT(count_syllables({4, 4}, 2), ElementsAre("1", "3"));
}

} // namespace
} // namespace tabard::overlay
