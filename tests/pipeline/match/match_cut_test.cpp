#include "pipeline/match/match_cut.h"

#include <vector>

#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace tabard::tests {
namespace {

using pipeline::from_seconds;
using pipeline::MatchedPiece;

MatchedPiece piece(double from, double to, double offset) { return {from, to, offset, {}, {}}; }

TEST(CutOfPieces, HardlyAnythingOfTheOldFilmIsNoCutOfIt)
{
    auto const cut = pipeline::cut_of_pieces({piece(3, 5, 0)}, from_seconds(60), {25, 1});
    ASSERT_FALSE(cut);
    EXPECT_EQ(cut.error().kind, ErrorKind::unsupported);
}

// 11 ms is no whole number of frames at 25 a second (40 ms), so pictures cannot have moved by it.
TEST(CutOfPieces, APartOfAFrameThatAllPiecesShareIsADelayOfTheSound)
{
    std::vector<MatchedPiece> const pieces{piece(0.011, 10.011, 0.011), piece(10.011, 20.011, -4.989)};
    auto const cut = pipeline::cut_of_pieces(pieces, from_seconds(20.011), {25, 1});
    ASSERT_TRUE(cut);
    EXPECT_EQ(cut->delay, from_seconds(0.011));
    ASSERT_EQ(cut->map.spans().size(), 2U);
    EXPECT_NEAR(pipeline::to_seconds(cut->map.spans()[1].source.from), 15,
                1e-6); // 10 s of the new film, 5 s removed before it
    EXPECT_NEAR(pipeline::to_seconds(cut->map.spans()[1].target.from), 10, 1e-6);
    ASSERT_EQ(cut->remarks.size(), 1U);
}

TEST(CutOfPieces, CutsThatAreNotOnFramesAreNoDelay)
{
    std::vector<MatchedPiece> const pieces{piece(0, 10, 0), piece(10, 20, -4.989)};
    auto const cut = pipeline::cut_of_pieces(pieces, from_seconds(20), {25, 1});
    ASSERT_TRUE(cut);
    EXPECT_EQ(cut->delay, pipeline::Time{0});
}

TEST(CutOfPieces, APassageThatIsThereTwiceIsReported)
{
    std::vector<MatchedPiece> const pieces{{0, 10, 0, 25.0}};
    auto const cut = pipeline::cut_of_pieces(pieces, from_seconds(10), {25, 1});
    ASSERT_TRUE(cut);
    EXPECT_THAT(cut->remarks, testing::ElementsAre(testing::HasSubstr("nearly the same")));
}

// Boundaries are found to some milliseconds: two pieces that touch must not leave a sliver of new material.
TEST(CutOfPieces, PiecesLessThanAFrameApartTouch)
{
    auto const cut =
        pipeline::cut_of_pieces({piece(0, 10.009, 0.0), piece(10.012, 20, -4.989)}, from_seconds(20), {25, 1});
    ASSERT_TRUE(cut);
    ASSERT_EQ(cut->map.spans().size(), 2U);
    EXPECT_EQ(cut->map.spans()[1].target.from, cut->map.spans()[0].target.to);
    EXPECT_NEAR(pipeline::to_seconds(cut->map.spans()[1].source.from - cut->map.spans()[1].target.from), 4.989, 1e-6);
}

// Sixty seconds of the old film in forty of the new one.
TEST(CutOfPieces, APieceThatRunsFasterKeepsItsSpeedAndIsNamed)
{
    MatchedPiece fast{10, 50, 10, {}, {1.5, true}};
    auto const cut = pipeline::cut_of_pieces({piece(0, 10, 0), fast}, from_seconds(50), {25, 1});
    ASSERT_TRUE(cut) << cut.error().what;
    ASSERT_EQ(cut->map.spans().size(), 2U);
    EXPECT_EQ(cut->map.spans()[1].speed(), (pipeline::Speed{3, 2}));
    EXPECT_EQ(cut->map.spans()[1].source, (pipeline::Interval{from_seconds(0), from_seconds(60)}));
    EXPECT_THAT(cut->remarks, testing::ElementsAre("from 0:10.0 to 0:50.0 the new film runs 1.5 times as fast as the "
                                                   "old one, its pitch kept; cues follow"));
}

// A measured speed is not exact: 23.976 frames a second (24000/1001) played as 24 are 1001/1000.
TEST(CutOfPieces, FramesPlayedAtAnotherRateAreNamed)
{
    auto const cut = pipeline::cut_of_pieces({{0, 600, 0, {}, {1.0010002, false}}}, from_seconds(600), {24, 1});
    ASSERT_TRUE(cut) << cut.error().what;
    auto const& span = cut->map.spans().front();
    EXPECT_NEAR(pipeline::to_seconds(span.source.length()) / pipeline::to_seconds(span.target.length()), 1.001, 1e-9);
    EXPECT_THAT(cut->remarks, testing::ElementsAre(testing::HasSubstr("23.976 frames a second are played as 24")));
}

// Two hundred milliseconds are five frames; the pictures say so to half a frame, the offsets nothing of whole frames.
TEST(CutOfPieces, WholeFramesOfDelayAreThePicturesToTell)
{
    auto const cut = pipeline::cut_of_pieces({piece(0.2, 20, 0.2)}, from_seconds(20), {25, 1},
                                             pipeline::Evidence::sound, {0.19, false, {25, 1}});
    ASSERT_TRUE(cut) << cut.error().what;
    EXPECT_EQ(cut->delay, from_seconds(0.2));
    EXPECT_EQ(cut->map.spans().front().source.from, pipeline::Time{0});
    EXPECT_EQ(cut->map.spans().front().target.from, pipeline::Time{0});
    EXPECT_THAT(cut->remarks, testing::ElementsAre(testing::HasSubstr("200 ms (5 frames) late against its pictures")));
}

} // namespace
} // namespace tabard::tests
