#include "pipeline/retime/cut_source.h"

#include <string>
#include <vector>

#include <fmt/format.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace tabard::pipeline {
namespace {

using testing::HasSubstr;

CutSource source(std::string file)
{
    CutSource result;
    result.file = std::move(file);
    return result;
}

KeptSpan at_second(int second)
{
    return {{Time{0}, from_ticks(1, 1, 1)}, {from_ticks(second, 1, 1), from_ticks(second + 1, 1, 1)}, Motion::forward};
}

CutOptions of_lantern()
{
    CutOptions options;
    options.footage = "lantern.mp4";
    return options;
}

std::string why(CutPicture const& picture, std::vector<CutSource> const& sources, CutOptions const& options)
{
    auto const reading = cut_of_shots(picture, sources, options);
    return reading ? "something is kept" : reading.error().what;
}

TEST(CutOfShots, SaysWhyNothingOfTheFootageIsLeft)
{
    CutOptions const options = of_lantern();
    std::vector<CutSource> list{source("lantern.mp4"), source("message.mp4")};
    EXPECT_THAT(why({}, {}, options), HasSubstr("there is no picture in it"));
    EXPECT_THAT(why({{{0, at_second(0)}}, {}}, list, options), HasSubstr("something is kept"));
    EXPECT_THAT(why({{}, {{0, at_second(2)}, {0, at_second(3)}}}, list, options),
                HasSubstr("lantern.mp4 is in the cut, but other pictures hide it (from 0:02.000 to 0:04.000)"));
    list[0].disabled = 3;
    EXPECT_THAT(why({}, list, options), HasSubstr("lantern.mp4 is in the cut, but all its shots are disabled"));
    CutSource slug;
    slug.reel = "BL";
    slug.picture = CutSource::Picture::called_generated;
    EXPECT_THAT(why({{{0, at_second(0)}}, {}}, {slug}, options),
                HasSubstr("nothing but black or generated picture (BL (1 shot))"));
}

TEST(CutOfShots, SaysWhereTheFootageIsHiddenAndWhatIsNew)
{
    std::vector<CutSource> const list{source("lantern.mp4"), source("message.mp4")};
    auto const reading = cut_of_shots({{{0, at_second(0)}, {1, at_second(1)}}, {{0, at_second(1)}, {1, at_second(0)}}},
                                      list, of_lantern());
    ASSERT_TRUE(reading);
    EXPECT_THAT(reading->remarks,
                testing::ElementsAre(HasSubstr("1.000 s of the new film are new material, from message.mp4"),
                                     HasSubstr("hidden under other pictures from 0:01.000 to 0:02.000")));
}

// 10 s of footage: its last picture begins before that, and nothing does after.
TEST(CutSource, ACutThatLiesBehindOrBeforeTheFootageCountsFromAnotherLabel)
{
    CutOptions options;
    options.footage_length = from_ticks(10, 1, 1);
    auto const cut_from = [&](Time from) {
        return cut_of_shots({{{0, {{from, from + Time{5}}, {Time{0}, Time{5}}, Motion::forward}}}, {}}, {CutSource{}},
                            options);
    };
    EXPECT_TRUE(cut_from(*options.footage_length - Time{1}));
    auto const behind = cut_from(*options.footage_length);
    ASSERT_FALSE(behind);
    EXPECT_THAT(behind.error().what, HasSubstr("--source-start"));
    EXPECT_TRUE(cut_from(Time{-4}));
    auto const before = cut_from(Time{-5}); // ends where the footage begins
    ASSERT_FALSE(before);
    EXPECT_THAT(before.error().what, HasSubstr("--source-start"));
    options.footage_length.reset();
    EXPECT_TRUE(cut_from(from_ticks(10, 1, 1)));
}

} // namespace
} // namespace tabard::pipeline
