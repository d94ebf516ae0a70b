#include "pipeline/check/picture/quiet.h"
#include "tests/pipeline/check/picture/coded_for_test.h"

#include <utility>
#include <vector>

#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace tabard::pipeline {
namespace {

using testing::IsEmpty;
using testing::SizeIs;

constexpr int kKeyStep = 125; // a keyframe first and in the middle

TEST(QuietStretches, AreWherePicturesCostAlmostNothing)
{
    // Pictures 100 to 149 (4 to 6 s, with a keyframe in the middle) cost next to nothing.
    auto pictures = coded(kKeyStep, [](int n) { return n >= 100 && n < 150 ? 50 : 8'000; });
    auto const quiet = quiet_stretches(pictures);
    ASSERT_THAT(quiet, SizeIs(1));
    EXPECT_NEAR(to_seconds(quiet[0].in), 4, 0.3);
    EXPECT_NEAR(to_seconds(quiet[0].out), 6, 0.3);
    EXPECT_LE(quiet[0].in, from_frame(100, {25, 1}));
    EXPECT_GE(quiet[0].out, from_frame(149, {25, 1}));
    std::swap(pictures[3], pictures[4]); // the order of a file with reordered pictures
    EXPECT_EQ(quiet_stretches(pictures), quiet);
}

TEST(QuietStretches, AreNotWhereEveryThirdPictureAloneIsLargeNorInAFilmThatIsAllAlike)
{
    EXPECT_THAT(quiet_stretches(coded(kKeyStep, [](int n) { return n % 3 ? 300 : 20'000; })), IsEmpty());
    EXPECT_THAT(quiet_stretches(coded(kKeyStep, [](int) { return 40; })), IsEmpty());
    EXPECT_THAT(quiet_stretches(coded(kKeyStep, [](int n) { return n >= 100 && n < 108 ? 50 : 8'000; })), IsEmpty())
        << "a third of a second";
    EXPECT_THAT(quiet_stretches({}), IsEmpty());
}

TEST(MergedSpans, AreInOrderAndDoNotTouch)
{
    auto const at = [](int in, int out) { return FilmSpan{Time{in}, Time{out}}; };
    EXPECT_THAT(merged({at(5, 7), at(0, 2), at(2, 3), at(6, 6), at(9, 10)}),
                testing::ElementsAre(at(0, 3), at(5, 7), at(9, 10)));
}

} // namespace
} // namespace tabard::pipeline
