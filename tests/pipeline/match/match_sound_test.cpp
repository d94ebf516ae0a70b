#include "pipeline/match/match_sound.h"
#include "tests/support/performance/recut.h"
#include "tests/support/performance/treatment.h"
#include "tests/support/run_program.h"

#include <algorithm>
#include <cctype>
#include <string>
#include <vector>

#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace tabard::tests {
namespace {

using pipeline::MatchedPiece;
using pipeline::Playback;

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
    std::vector<CutPiece> const cut{{0, 12.34, {}}, {40.1, 55.25, {}}, {20, 31.5, {}},
                                    {-1, 6, {}},    {70.02, 85, {}},   {20, 26, {}}};
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
}

struct Played {
    char const* name;
    Playback playback;
};

class PlayedAtAnotherSpeed : public testing::TestWithParam<Played> {};

// The new film is a cut of the old one that FFmpeg then played at that speed: a piece that was at t is at t / speed.
TEST_P(PlayedAtAnotherSpeed, IsFoundInOnePieceForEachOfTheCut)
{
    Playback const playback = GetParam().playback;
    auto const film = lesson_sound(120, 31);
    std::vector<CutPiece> const cut{{0, 35, {}}, {50, 70, {}}, {-1, 6, {}}, {80, 118, {}}};
    TemporaryFolder const scratch;
    auto const after = treated(recut(film, cut, 3, 0.7), {.name = "", .playback = playback}, 3, scratch.path());
    auto const pieces = match(film, after);
    RecutScore score;
    score.add(at_speed(cut, playback), pieces);
    EXPECT_EQ(score.found, 3);
    EXPECT_EQ(score.made, 3);
    EXPECT_EQ(score.wrong, 0);
    EXPECT_GE(score.covered, 0.97 * score.kept);
    for (MatchedPiece const& piece : pieces) {
        EXPECT_NEAR(piece.playback.speed, playback.speed, 0.001 * playback.speed);
        EXPECT_EQ(piece.playback.pitch_kept, playback.pitch_kept);
    }
    EXPECT_LE(score.worst_offset(), 0.02); // half a frame at 25 a second
}

INSTANTIATE_TEST_SUITE_P(Speeds, PlayedAtAnotherSpeed,
                         testing::Values(Played{"Half", {0.5, false}}, Played{"HalfPitchKept", {0.5, true}},
                                         Played{"SlowerByATwentieth", {0.95, false}},
                                         Played{"ConformedTo24", {1.001, false}},
                                         Played{"FasterByATwentieth", {1.05, false}},
                                         Played{"FasterByATwentiethPitchKept", {1.05, true}},
                                         Played{"OneAndAHalfPitchKept", {1.5, true}}, Played{"Twice", {2, false}},
                                         Played{"TwicePitchKept", {2, true}}),
                         [](auto const& test) { return std::string(test.param.name); });

TEST(MatchSound, OnePieceThatWasSpedUpIsFoundWithItsSpeed)
{
    auto const film = lesson_sound(120, 32);
    std::vector<CutPiece> const cut{{0, 40, {}}, {40, 70, {1.5, true}}, {70, 118, {}}};
    auto const pieces = match(film, recut(film, cut, 3, 0.7));
    ASSERT_EQ(pieces.size(), 3U);
    EXPECT_EQ(pieces[0].playback, Playback{});
    EXPECT_NEAR(pieces[1].playback.speed, 1.5, 0.002);
    EXPECT_TRUE(pieces[1].playback.pitch_kept);
    EXPECT_NEAR(pieces[1].from, 40, 0.1);
    EXPECT_NEAR(pieces[1].to, 60, 0.1);
    EXPECT_EQ(pieces[2].playback, Playback{});
}

class Treated : public testing::TestWithParam<char const*> {};

TEST_P(Treated, LosesNothing)
{
    auto const film = lesson_sound(120, 33);
    std::vector<CutPiece> const cut{{0, 35, {}}, {50, 70, {}}, {-1, 6, {}}, {80, 118, {}}};
    auto const all = treatments();
    auto const treatment = std::ranges::find(all, std::string(GetParam()), &Treatment::name);
    ASSERT_NE(treatment, all.end());
    TemporaryFolder const scratch;
    RecutScore score;
    score.add(cut, match(film, treated(recut(film, cut, 3, 0.7), *treatment, 3, scratch.path())));
    EXPECT_EQ(score.found, 3);
    EXPECT_EQ(score.made, 3);
    EXPECT_EQ(score.wrong, 0);
    EXPECT_GE(score.covered, 0.97 * score.kept);
    EXPECT_LE(score.worst_offset(), 0.001);
}

INSTANTIATE_TEST_SUITE_P(Kinds, Treated,
                         testing::Values("denoised, gently", "denoised, hard", "denoised by non-local means", "gate",
                                         "compand", "loudness evened", "telephone band", "MP3 64k", "Opus 32k, stereo",
                                         "music at -20 dB", "music at -10 dB"),
                         [](auto const& test) {
                             std::string name = test.param;
                             std::erase_if(name, [](unsigned char sign) { return std::isalnum(sign) == 0; });
                             return name;
                         });

} // namespace
} // namespace tabard::tests
