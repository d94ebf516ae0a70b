#include "pipeline/retime/cut_source.h"

#include <string>
#include <vector>

#include <fmt/format.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace tabard::pipeline {
namespace {

using testing::HasSubstr;
using testing::Not;

TEST(CutSource, IsKnownByItsFileHoweverProgramsWriteIt)
{
    struct Case {
        char const* one;
        char const* other;
        bool same;
    };
    for (auto const& [one, other, same] : std::vector<Case>{
             {"lantern.mp4", "LANTERN", true},
             {"C:\\films\\Lantern 2.mov", "lantern_2.MXF", true},
             {"file:///x/my%20Film.mov", "My film", true},
             {"a%41", "aa", true}, // RFC 3986: %41 is A
             {"a%4", "a4", true},  // and this is no code
             {"a%4g", "a4g", true},
             {"a%g1", "ag1", true},
             {"take.1.mpeg", "take1", true}, // an extension has four signs at most
             {"take.final", "take", false},
             {".mp4", "mp4", true}, // a name, not an extension
             {"caf\xC3\xA9.mov", "caf", false},
             {"LANTERNO", "lantern on the quay.mp4", true}, // reels have eight signs
             {"LANTERN", "lantern on the quay.mp4", false},
             {"LANTERNON", "lantern on the quay.mp4", false},
             {"lantern.mp4", "lantern2.mp4", false},
             {"", "", false},
             {"--", "__", false},
         }) {
        EXPECT_EQ(same_source_name(one, other), same) << one << " " << other;
        EXPECT_EQ(same_source_name(other, one), same) << other << " " << one;
    }
}

/// `count` sources, the last of them used most.
std::vector<CutSource> sources(int count)
{
    std::vector<CutSource> result;
    for (int i = 1; i <= count; ++i)
        result.push_back({{fmt::format("R{}", i)}, i});
    return result;
}

TEST(CutSource, ThatIsNotKnownIsAskedForAmongTheMostUsed)
{
    CutOptions options;
    options.footage = "lantern.mp4";
    EXPECT_THAT(choose_sources(sources(10), options).error().what, HasSubstr("R10 (10 shots), R9 (9 shots), "));
    EXPECT_THAT(choose_sources(sources(10), options).error().what, HasSubstr(", R1 (1 shot) and none"));
    EXPECT_THAT(choose_sources(sources(12), options).error().what, HasSubstr(", R3 (3 shots) and 2 more and none"));
    EXPECT_THAT(choose_sources(sources(12), options).error().what, Not(HasSubstr("R2 (")));
}

TEST(CutSource, ThatIsNeverSeenIsNotChosen)
{
    CutOptions options;
    options.footage = "lantern.mp4";
    std::vector<CutSource> list{{{"lantern"}, 0}, {{"other"}, 3}};
    EXPECT_EQ(choose_sources(list, options), (Result<std::vector<std::size_t>>{std::vector<std::size_t>{1}}));
    options.source = "lantern";
    EXPECT_THAT(choose_sources(list, options).error().what, HasSubstr("it draws on other (3 shots)"));
    list[0].uses = 1;
    EXPECT_EQ(choose_sources(list, options), (Result<std::vector<std::size_t>>{std::vector<std::size_t>{0}}));
    EXPECT_EQ(choose_sources({}, options), (Result<std::vector<std::size_t>>{std::vector<std::size_t>{}}));
}

// 10 s of footage: its last picture begins before that, and nothing does after.
TEST(CutSource, ACutThatLiesBehindOrBeforeTheFootageCountsFromAnotherLabel)
{
    CutOptions options;
    options.footage_length = from_ticks(10, 1, 1);
    auto const cut_from = [&](Time from) {
        return cut_of_shots({{0, {{from, from + Time{5}}, {Time{0}, Time{5}}, Motion::forward}}}, {{{"T"}, 1}},
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
