#include "pipeline/listen/cue_reading.h"
#include "tests/pipeline/listen/built_hearing.h"

#include <algorithm>
#include <string_view>
#include <utility>
#include <vector>

#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace tabard::tests {
namespace {

using pipeline::CuedPart;
using pipeline::CueReading;
using pipeline::HeardChord;
using pipeline::PartReading;
using testing::IsEmpty;

constexpr double kBeat = 0.5; ///< seconds, at 120 a minute

HeardChord triad(char name)
{
    static constexpr std::string_view kNames = "C D EF G A B";
    int const root = static_cast<int>(kNames.find(name == 'a' ? 'A' : name == 'e' ? 'E' : name));
    bool const minor = name == 'a' || name == 'e';
    return {{root, (root + (minor ? 3 : 4)) % 12, (root + 7) % 12}, root};
}

/// One chord a bar of four beats.
constexpr std::string_view kSong = "CaFGCeFG";

/// A part whose bars begin at `starts`, one chord each; the last one lasts as long as the chart says.
CuedPart part_of(std::string_view chords, std::vector<double> const& starts)
{
    CuedPart part;
    part.chart.beat_seconds = kBeat;
    for (std::size_t n = 0; n < chords.size(); ++n) {
        part.chart.spans.push_back({triad(chords[n]), 4 * static_cast<int>(n), 4});
        double const to = n + 1 < starts.size() ? starts[n + 1] : starts[n] + 4 * kBeat;
        part.spans.push_back({starts[n], std::min(to, starts[n] + 4 * kBeat)});
    }
    return part;
}

std::vector<double> even_bars(double first, std::size_t count = kSong.size())
{
    std::vector<double> starts;
    for (std::size_t n = 0; n < count; ++n)
        starts.push_back(first + 4 * kBeat * static_cast<double>(n));
    return starts;
}

/// A stroke on every beat of every bar.
std::vector<BuiltStroke> strummed(std::string_view chords, std::vector<double> const& bars)
{
    std::vector<BuiltStroke> strokes;
    for (std::size_t n = 0; n < chords.size(); ++n)
        for (int beat = 0; beat < 4; ++beat)
            strokes.push_back({bars[n] + beat * kBeat, triad(chords[n])});
    return strokes;
}

class ReadCues : public testing::Test {
protected:
    /// What is said of the song, played with bars at `played`, where its cues are at `cued`.
    static PartReading read(std::vector<double> const& played, std::vector<double> const& cued)
    {
        auto const heard = hearing_of(strummed(kSong, played), played.back() + 8);
        return pipeline::read_cues(heard, {part_of(kSong, cued)}).parts.at(0);
    }
    static PartReading read(double late) { return read(even_bars(5), even_bars(5 + late)); }
};

// The window is that of ITU-R BT.1359-1: 45 ms late, 125 ms early.
TEST_F(ReadCues, CuesOnTheirStrokesAndALittleBeforeThemAreRight)
{
    for (double const late : {0.0, -0.030, 0.020}) {
        auto const reading = read(late);
        EXPECT_THAT(reading.off, IsEmpty()) << late;
        ASSERT_TRUE(reading.late) << late;
        EXPECT_NEAR(*reading.late, late, 0.005);
        EXPECT_GT(reading.fits, 0.9);
    }
}

TEST_F(ReadCues, WhatAllCuesOfAPartAreOffByIsMeasuredToFiveMilliseconds)
{
    for (double const late : {0.050, 0.080, 0.130, 0.250, 0.500, -0.080, -0.110, -0.160, -0.250, -0.500}) {
        auto const reading = read(late);
        ASSERT_EQ(reading.off.size(), 1U) << late;
        EXPECT_EQ(reading.off[0].first, 0U);
        EXPECT_EQ(reading.off[0].last, kSong.size() - 1);
        EXPECT_EQ(reading.off[0].cues, kSong.size());
        EXPECT_NEAR(reading.off[0].late, late, 0.005);
        EXPECT_FALSE(reading.elsewhere);
    }
}

TEST_F(ReadCues, OneCueAmongRightOnesIsFoundAndNoOther)
{
    auto cues = even_bars(5);
    cues[3] += 0.15; // less than half a beat, where many push a chord
    auto const reading = read(even_bars(5), cues);
    ASSERT_EQ(reading.off.size(), 1U);
    EXPECT_EQ(reading.off[0].first, 3U);
    EXPECT_EQ(reading.off[0].last, 3U);
    EXPECT_NEAR(reading.off[0].late, 0.15, 0.005);
}

// The player waits two seconds before the fifth bar.
TEST_F(ReadCues, APauseThatTheCuesHaveIsRightAndOneThatTheyLackIsFound)
{
    auto paused = even_bars(5);
    for (std::size_t n = 4; n < paused.size(); ++n)
        paused[n] += 0.6;
    EXPECT_THAT(read(paused, paused).off, IsEmpty());
    auto const reading = read(paused, even_bars(5));
    ASSERT_EQ(reading.off.size(), 1U);
    EXPECT_EQ(reading.off[0].first, 4U);
    EXPECT_EQ(reading.off[0].last, 7U);
    EXPECT_NEAR(reading.off[0].late, -0.6, 0.005);
}

// Many players push a chord: it comes with the stroke before its beat. That is no mistake of the cue.
TEST_F(ReadCues, ASinglePushedChangeIsNotSaidToBeOff)
{
    auto strokes = strummed(kSong, even_bars(5));
    strokes[11] = {strokes[12].seconds - kBeat / 2, strokes[12].chord}; // half a beat before bar 4
    strokes.erase(strokes.begin() + 12);
    auto const heard = hearing_of(strokes, 30);
    EXPECT_THAT(pipeline::read_cues(heard, {part_of(kSong, even_bars(5))}).parts.at(0).off, IsEmpty());
}

// The pattern rests on the first beat: the chord sounds with the stroke half a beat later, and its cue is on the beat.
TEST_F(ReadCues, ABeatThatTheStrumPassesIsRightWhereItIs)
{
    auto const bars = even_bars(5);
    std::vector<BuiltStroke> strokes;
    for (std::size_t n = 0; n < kSong.size(); ++n)
        for (double const beat : {0.5, 1.5, 2.5, 3.5})
            strokes.push_back({bars[n] + beat * kBeat, triad(kSong[n])});
    auto part = part_of(kSong, bars);
    part.chart.strokes.strokes = {{.beat = 0.5}, {.beat = 1.5}, {.beat = 2.5}, {.beat = 3.5}};
    auto const heard = hearing_of(strokes, 30);
    EXPECT_THAT(pipeline::read_cues(heard, {part}).parts.at(0).off, IsEmpty());
    for (auto& span : part.spans)
        span = {span.from - kBeat / 2, span.to - kBeat / 2};
    auto const early = pipeline::read_cues(heard, {part}).parts.at(0);
    ASSERT_EQ(early.off.size(), 1U);
    EXPECT_EQ(early.off[0].cues, kSong.size());
}

// Only the second and the fourth beat are struck, and nobody wrote so: the first chord of a bar comes a beat after its
// cue. Cues that are a beat early would sound the same.
TEST_F(ReadCues, WhereNothingIsStruckFromTheCueToItsChordItIsNotJudged)
{
    auto const bars = even_bars(5);
    std::vector<BuiltStroke> strokes;
    for (std::size_t n = 0; n < kSong.size(); ++n)
        for (int const beat : {1, 3})
            strokes.push_back({bars[n] + beat * kBeat, triad(kSong[n])});
    auto const reading = pipeline::read_cues(hearing_of(strokes, 30), {part_of(kSong, bars)}).parts.at(0);
    EXPECT_THAT(reading.off, IsEmpty());
    EXPECT_LT(reading.margin, pipeline::kClearMargin); // which is said
    // A soft stroke on the first beat would be heard.
    for (std::size_t n = 0; n < kSong.size(); ++n)
        strokes.push_back({bars[n], triad(kSong[n == 0 ? 0 : n - 1])});
    std::ranges::sort(strokes, {}, &BuiltStroke::seconds);
    auto const struck = pipeline::read_cues(hearing_of(strokes, 30), {part_of(kSong, bars)}).parts.at(0);
    ASSERT_EQ(struck.off.size(), 1U);
    EXPECT_NEAR(struck.off[0].late, -kBeat, 0.01);
}

TEST_F(ReadCues, APartThatIsPlayedElsewhereIsFoundThereAndTheOthersStay)
{
    auto strokes = strummed("BBBBBBBB", even_bars(4));
    for (auto const& more : {strummed(kSong, even_bars(25)), strummed("GDGD", even_bars(45, 4))})
        strokes.insert(strokes.end(), more.begin(), more.end());
    auto const reading =
        pipeline::read_cues(hearing_of(strokes, 60), {part_of(kSong, even_bars(5)), part_of("GDGD", even_bars(45, 4))});
    EXPECT_EQ(reading.common, 0);
    auto const& moved = reading.parts.at(0);
    ASSERT_TRUE(moved.elsewhere);
    EXPECT_NEAR(*moved.elsewhere - moved.late.value_or(0), 20, 0.005);
    EXPECT_FALSE(reading.parts.at(1).elsewhere);
    EXPECT_THAT(reading.parts.at(1).off, IsEmpty());
}

// One part is 60 ms late, which is known of it, and the other clearly is not: that is no offset of the film.
TEST_F(ReadCues, OnePartThatIsOffIsNotWhatAllPartsHaveInCommon)
{
    auto strokes = strummed(kSong, even_bars(5));
    auto const second = strummed("GDGDGD", even_bars(25, 6));
    strokes.insert(strokes.end(), second.begin(), second.end());
    auto const reading = pipeline::read_cues(hearing_of(strokes, 45),
                                             {part_of(kSong, even_bars(5.06)), part_of("GDGDGD", even_bars(25, 6))});
    EXPECT_EQ(reading.common, 0);
    ASSERT_EQ(reading.parts.at(0).off.size(), 1U);
    EXPECT_NEAR(reading.parts[0].off[0].late, 0.06, 0.005);
    EXPECT_THAT(reading.parts.at(1).off, IsEmpty());
}

TEST_F(ReadCues, WhatAllPartsAreOffByIsSaidOfTheFilmEvenIfItIsLittle)
{
    auto strokes = strummed(kSong, even_bars(5));
    auto const second = strummed("GDGDGD", even_bars(25, 6));
    strokes.insert(strokes.end(), second.begin(), second.end());
    auto const reading = pipeline::read_cues(hearing_of(strokes, 45),
                                             {part_of(kSong, even_bars(5.06)), part_of("GDGDGD", even_bars(25.06, 6))});
    EXPECT_NEAR(reading.common, -0.06, 0.005);
    for (PartReading const& part : reading.parts)
        EXPECT_THAT(part.off, IsEmpty());
}

TEST_F(ReadCues, WhatAllPartsHaveInCommonIsTakenOff)
{
    auto strokes = strummed(kSong, even_bars(8));
    auto const second = strummed("GDGD", even_bars(27, 4));
    strokes.insert(strokes.end(), second.begin(), second.end());
    auto const reading =
        pipeline::read_cues(hearing_of(strokes, 40), {part_of(kSong, even_bars(5)), part_of("GDGD", even_bars(24, 4))});
    EXPECT_NEAR(reading.common, 3, 0.005);
    for (PartReading const& part : reading.parts) {
        EXPECT_THAT(part.off, IsEmpty());
        EXPECT_FALSE(part.elsewhere);
    }
}

TEST_F(ReadCues, ACapoThatTheChartDoesNotHaveChangesNothingButIsNamed)
{
    auto strokes = strummed(kSong, even_bars(5));
    for (BuiltStroke& stroke : strokes)
        stroke.chord = pipeline::transposed(stroke.chord, 2);
    auto const reading = pipeline::read_cues(hearing_of(strokes, 30), {part_of(kSong, even_bars(5))});
    EXPECT_EQ(reading.semitones, 2);
    EXPECT_THAT(reading.parts.at(0).off, IsEmpty());
    EXPECT_GT(reading.parts.at(0).fits, 0.9);
}

// Struck on every beat, one chord sounds alike a beat later, and the chords of a song do not.
TEST_F(ReadCues, AMarginTellsWhetherTheSoundCanJudgeAPart)
{
    EXPECT_GT(read(0).margin, pipeline::kClearMargin);
    auto strokes =
        strummed("GG", even_bars(5, 2)); // and the chart's four bars lie in the middle of nine that ring alike
    for (double const bar : even_bars(9, 7))
        for (int beat = 0; beat < 4; ++beat)
            strokes.push_back({bar + beat * kBeat, triad('G')});
    auto const reading = pipeline::read_cues(hearing_of(strokes, 30),
                                             {part_of("GG", even_bars(5, 2)), part_of("GGGG", even_bars(9, 4))});
    EXPECT_LT(reading.parts.at(1).margin, pipeline::kClearMargin);
    EXPECT_THAT(reading.parts.at(1).off, IsEmpty());
}

TEST_F(ReadCues, WhereNobodyPlaysNothingIsSaidOfCues)
{
    auto const reading = pipeline::read_cues(hearing_of({}, 30), {part_of(kSong, even_bars(5))}).parts.at(0);
    EXPECT_THAT(reading.off, IsEmpty());
    EXPECT_FALSE(reading.late);
    EXPECT_LT(reading.fits, pipeline::kHeardHere);
}

} // namespace
} // namespace tabard::tests
