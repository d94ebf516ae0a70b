#include "pipeline/check/picture/lively.h"
#include "tests/pipeline/check/picture/coded_for_test.h"

#include <utility>
#include <vector>

#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace tabard::pipeline {
namespace {

using testing::IsEmpty;
using testing::SizeIs;

constexpr int kKeyStep = 25; // a keyframe every second

TEST(LivelyStretches, AreWherePicturesCostSeveralTimesWhatOthersDo)
{
    // Every fourth picture from 4.1 s to 5 s changes all of the picture.
    auto pictures = coded(kKeyStep, [](int n) { return n > 102 && n < 125 && n % 4 == 0 ? 30'000 : 8'000; });
    auto const lively = lively_stretches(pictures);
    ASSERT_THAT(lively, SizeIs(1));
    EXPECT_LE(lively[0].in, from_frame(104, {25, 1}));
    EXPECT_GE(lively[0].out, from_frame(124, {25, 1}));
    EXPECT_LE(to_seconds(lively[0].out - lively[0].in), 1.5);
    std::swap(pictures[3], pictures[4]); // the order of a file with reordered pictures
    EXPECT_EQ(lively_stretches(pictures), lively);
}

TEST(LivelyStretches, AreNotAtCutsNorInAFilmThatIsAllAlike)
{
    EXPECT_THAT(lively_stretches(coded(kKeyStep, [](int) { return 8'000; })), IsEmpty());
    EXPECT_THAT(lively_stretches(coded(kKeyStep, [](int n) { return n % 40 == 7 ? 60'000 : 8'000; })), IsEmpty());
    // Two large ones in a second are no flashing; three may be a part of it.
    EXPECT_THAT(lively_stretches(coded(kKeyStep, [](int n) { return n == 30 || n == 40 ? 60'000 : 8'000; })),
                IsEmpty());
    EXPECT_THAT(lively_stretches(coded(kKeyStep, [](int n) { return n == 30 || n == 40 || n == 45 ? 60'000 : 8'000; })),
                SizeIs(1));
    EXPECT_THAT(lively_stretches({}), IsEmpty());
}

TEST(LivelyStretches, ComeWithTheLiveliestFirst)
{
    auto const lively = lively_stretches(coded(kKeyStep, [](int n) {
        bool const little = n == 30 || n == 34 || n == 38;
        bool const much = n > 200 && n < 224 && n % 3 == 0;
        return little || much ? 60'000 : 8'000;
    }));
    ASSERT_THAT(lively, SizeIs(2));
    EXPECT_GT(lively[0].in, lively[1].out);
}

// An encoder may begin a group at each change.
TEST(LivelyStretches, AreWhereKeyframesComeFasterThanTheyNeedTo)
{
    auto pictures = coded(kKeyStep, [](int) { return 8'000; });
    for (std::size_t n : {104u, 108u, 112u, 116u})
        pictures[n] = {pictures[n].shown, 90'000, true};
    EXPECT_THAT(lively_stretches(pictures), SizeIs(1));
}

TEST(LivelyStretches, AreUnknownWhereEveryPictureIsAKeyframe)
{
    auto pictures = coded(kKeyStep, [](int n) { return n > 100 && n < 125 && n % 4 == 0 ? 30'000 : 8'000; });
    for (CodedSize& picture : pictures)
        picture.key = true;
    EXPECT_THAT(lively_stretches(pictures), IsEmpty());
}

} // namespace
} // namespace tabard::pipeline
