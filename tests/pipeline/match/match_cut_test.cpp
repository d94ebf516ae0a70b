#include "pipeline/match/match_cut.h"
#include "tests/support/performance/recut.h"

#include <algorithm>
#include <vector>

#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace tabard::tests {
namespace {

using pipeline::from_seconds;
using pipeline::MatchedPiece;

std::vector<MatchedPiece> match(std::vector<float> const& before, std::vector<float> const& after)
{
    return pipeline::match_sound(before, after);
}

TEST(MatchSound, AnUncutFilmIsOnePieceAtItsOwnPlace)
{
    auto const film = lesson_sound(40, 1);
    auto const pieces = match(film, film);
    ASSERT_EQ(pieces.size(), 1U);
    EXPECT_NEAR(pieces[0].from, 0, 0.001);
    EXPECT_NEAR(pieces[0].to, 40, 0.01);
    EXPECT_NEAR(pieces[0].offset, 0, 1e-5);
}

TEST(MatchSound, RemovedMovedRepeatedAndInsertedPiecesAreFound)
{
    auto const film = lesson_sound(90, 2);
    // In the order of the new film: where each piece lies in the old one; the fourth is new.
    std::vector<CutPiece> const cut{{0, 12.34}, {40.1, 55.25}, {20, 31.5}, {-1, 6}, {70.02, 85}, {20, 26}};
    auto const after = recut(film, cut, 3, 0.7);
    RecutScore score;
    score.add(cut, match(film, after));
    EXPECT_EQ(score.pieces, 5);
    EXPECT_EQ(score.found, 5);
    EXPECT_EQ(score.wrong, 0);
    EXPECT_LE(score.worst_offset(), 0.0001);
    EXPECT_LE(score.boundary_quantile(0.9), 0.005);
}

// A card without sound in place of what was played: 20 s, then 5 s of silence, then the old film from 33 s on.
TEST(MatchSound, SilenceInPlaceOfWhatWasPlayedIsNew)
{
    auto const film = lesson_sound(60, 6);
    auto const second = [](double seconds) { return static_cast<std::ptrdiff_t>(seconds * pipeline::kMatchRate); };
    std::vector<float> after(film.begin(), film.begin() + second(20));
    after.resize(static_cast<std::size_t>(second(25)));
    after.insert(after.end(), film.begin() + second(33), film.end());
    auto const pieces = match(film, after);
    ASSERT_EQ(pieces.size(), 2U);
    EXPECT_NEAR(pieces[0].to, 20, 0.02);
    EXPECT_NEAR(pieces[1].from, 25, 0.02);
    EXPECT_NEAR(pieces[1].offset, -8, 1e-4);
}

TEST(MatchSound, WhereTheSoundWasSwitchedOffForAWhileTheFilmGoesOn)
{
    auto const film = lesson_sound(60, 6);
    auto after = film;
    std::fill_n(after.begin() + 20 * pipeline::kMatchRate, 5 * pipeline::kMatchRate, 0.0F);
    auto const pieces = match(film, after);
    ASSERT_EQ(pieces.size(), 1U);
    EXPECT_NEAR(pieces[0].from, 0, 0.01);
    EXPECT_NEAR(pieces[0].to, 60, 0.01);
}

TEST(MatchSound, AnotherFilmHasNothingInCommon)
{
    auto const pieces = match(lesson_sound(40, 4), lesson_sound(40, 5));
    EXPECT_THAT(pieces, testing::IsEmpty());
    auto const cut = pipeline::cut_of_pieces(pieces, from_seconds(40), {25, 1});
    ASSERT_FALSE(cut);
    EXPECT_EQ(cut.error().kind, ErrorKind::unsupported);
}

// 11 ms is no whole number of frames at 25 a second (40 ms), so pictures cannot have moved by it.
TEST(CutOfPieces, APartOfAFrameThatAllPiecesShareIsADelayOfTheSound)
{
    std::vector<MatchedPiece> const pieces{{0.011, 10.011, 0.011, {}}, {10.011, 20.011, -4.989, {}}};
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
    std::vector<MatchedPiece> const pieces{{0, 10, 0, {}}, {10, 20, -4.989, {}}};
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

} // namespace
} // namespace tabard::tests
