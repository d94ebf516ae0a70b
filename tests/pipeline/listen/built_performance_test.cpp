#include "pipeline/cues/reader.h"
#include "pipeline/timeline/tempo_map.h"
#include "tests/support/performance/conditions.h"
#include "tests/support/performance/course.h"
#include "tests/support/performance/guitars.h"
#include "tests/support/performance/lesson_text.h"
#include "tests/support/performance/score.h"
#include "tests/support/performance/strokes.h"

#include <algorithm>
#include <cmath>
#include <string>
#include <vector>

#include <gmock/gmock.h>
#include <gtest/gtest.h>

// All that is said of listening is measured on built performances: what their truth says must be what is struck.
namespace tabard::tests {
namespace {

using pipeline::Deviation;
using testing::DoubleNear;
using testing::ElementsAre;

std::vector<Strike> strikes_between(Performance const& played, double from, double to)
{
    std::vector<Strike> strikes;
    std::ranges::copy_if(played.strikes, std::back_inserter(strikes), [=](Strike const& strike) {
        return strike.seconds >= from && strike.seconds < to && strike.level > 0;
    });
    return strikes;
}

bool belongs(Strike const& strike, pipeline::HeardChord const& chord)
{
    return std::ranges::find(chord.tones, strike.midi % 12) != chord.tones.end();
}

Performance with(Departure departure, std::uint32_t seed)
{
    Manner manner;
    manner.patterns = {"D D D D", "D - D U - U D U", "Rp D Rp D"};
    manner.departure = departure;
    manner.departing = 1;
    return build_performance(manner, seed);
}

TEST(BuiltPerformanceTruth, EachChordBeginsWhereItsFirstStringIsStruck)
{
    for (Condition const& kind : conditions()) {
        if (kind.manner.capo != 0)
            continue;
        auto const played = build_performance(kind.manner, 11);
        for (std::size_t part = 0; part < played.parts.size(); ++part) {
            PlayedPart const& truth = played.parts[part];
            for (std::size_t span = 0; span < truth.span_starts.size(); ++span) {
                if (!truth.sounded(span) || std::ranges::count(truth.wrong, static_cast<int>(span)) > 0)
                    continue;
                double const start = truth.span_starts[span];
                auto const first = strikes_between(played, start - 1e-9, start + 1e-9);
                ASSERT_FALSE(first.empty()) << kind.name << " part " << part << " span " << span;
                EXPECT_TRUE(std::ranges::any_of(
                    first, [&](Strike const& one) { return belongs(one, played.chart[part].spans[span].chord); }))
                    << kind.name << " part " << part << " span " << span;
            }
        }
    }
}

// A player's strokes are 8 ms off the beat (one standard deviation) and cut at three; a change comes on its beat, a
// push half a beat before it, and on a beat that the pattern passes half a beat before or after.
TEST(BuiltPerformanceTruth, BeatsAreWhereTheStrokesAre)
{
    for (Departure const departure :
         {Departure::none, Departure::pause, Departure::pause_inside, Departure::hold, Departure::extra,
          Departure::skip, Departure::again, Departure::restart_bar, Departure::restart_part, Departure::any})
        for (std::uint32_t seed = 1; seed < 6; ++seed) {
            auto const played = with(departure, seed);
            for (std::size_t part = 0; part < played.parts.size(); ++part) {
                PlayedPart const& truth = played.parts[part];
                ASSERT_EQ(truth.beats.size(), static_cast<std::size_t>(played.chart[part].beats()) + 1);
                EXPECT_TRUE(std::ranges::is_sorted(truth.beats));
                for (std::size_t span = 0; span < truth.span_starts.size(); ++span) {
                    if (!truth.sounded(span))
                        continue;
                    auto const beat = static_cast<std::size_t>(played.chart[part].spans[span].first_beat);
                    double const length = truth.beats[beat + 1] - truth.beats[beat];
                    double const allowed = truth.passed[span] ? 0.75 * length + 0.05 : 0.025;
                    EXPECT_NEAR(truth.span_starts[span], truth.beats[beat], allowed)
                        << static_cast<int>(departure) << " seed " << seed << " part " << part << " span " << span;
                }
            }
        }
}

TEST(BuiltPerformanceTruth, NobodyPlaysInAPause)
{
    int pauses = 0;
    for (Departure const departure : {Departure::pause, Departure::pause_inside, Departure::hold})
        for (PlayedPart const& part : with(departure, 3).parts) {
            ASSERT_EQ(part.deviations.size(), 1U);
            Deviation const& pause = part.deviations[0];
            EXPECT_EQ(pause.kind, Deviation::Kind::pause);
            EXPECT_EQ(pause.beat, pause.next_beat);
            EXPECT_EQ(pause.beat % 4 == 0, departure != Departure::pause_inside);
            EXPECT_GE(pause.to - pause.from, 1);
            EXPECT_DOUBLE_EQ(part.beats[static_cast<std::size_t>(pause.next_beat)], pause.to);
            EXPECT_TRUE(strikes_between(with(departure, 3), pause.from + 0.07, pause.to - 0.03).empty());
            ++pauses;
        }
    EXPECT_EQ(pauses, 12);
}

TEST(BuiltPerformanceTruth, ASkippedBarHasNoTime)
{
    auto const played = with(Departure::skip, 5);
    for (std::size_t part = 0; part < played.parts.size(); ++part) {
        PlayedPart const& truth = played.parts[part];
        ASSERT_EQ(truth.deviations.size(), 1U);
        Deviation const& skip = truth.deviations[0];
        EXPECT_EQ(skip.kind, Deviation::Kind::skipped);
        EXPECT_DOUBLE_EQ(skip.from, skip.to);
        int const bars = (skip.next_beat - skip.beat) / 4;
        EXPECT_TRUE(bars == 1 || bars == 2);
        for (int beat = skip.beat; beat <= skip.next_beat; ++beat)
            EXPECT_DOUBLE_EQ(truth.beats[static_cast<std::size_t>(beat)], skip.to);
        auto const& spans = played.chart[part].spans;
        for (std::size_t span = 0; span < spans.size(); ++span)
            EXPECT_EQ(truth.sounded(span),
                      spans[span].first_beat < skip.beat || spans[span].first_beat >= skip.next_beat);
        EXPECT_EQ(played_beats(truth.beats).size(), truth.beats.size() - 1 - 4 * static_cast<std::size_t>(bars));
        EXPECT_FALSE(error_of(played.chart[part], truth, 0, 0) == std::nullopt);
    }
}

// The chart's bars from the first time to the second are struck in both: the stretch between is as long as they are.
TEST(BuiltPerformanceTruth, BarsThatArePlayedAgainHaveTheirLastTime)
{
    for (Departure const departure : {Departure::again, Departure::restart_bar, Departure::restart_part}) {
        auto const played = with(departure, 7);
        for (std::size_t part = 0; part < played.parts.size(); ++part) {
            PlayedPart const& truth = played.parts[part];
            ASSERT_EQ(truth.deviations.size(), 1U);
            Deviation const& again = truth.deviations[0];
            EXPECT_EQ(again.kind, Deviation::Kind::again);
            EXPECT_EQ(again.beat % 4, 0);
            EXPECT_EQ(again.beat, again.again_from);
            EXPECT_DOUBLE_EQ(truth.beats[static_cast<std::size_t>(again.beat)], again.to);
            auto const& spans = played.chart[part].spans;
            auto const span = std::ranges::find(spans, again.beat, &pipeline::ExpectedSpan::first_beat);
            ASSERT_NE(span, spans.end());
            for (double const begin : {again.from, again.to}) {
                auto const struck = strikes_between(played, begin - 0.03, begin + 0.03);
                EXPECT_TRUE(std::ranges::any_of(struck, [&](Strike const& s) { return belongs(s, span->chord); }) ||
                            truth.passed[static_cast<std::size_t>(span - spans.begin())])
                    << static_cast<int>(departure) << " part " << part;
            }
        }
    }
}

// Two beats, one not of the chart between them, the second one again.
TEST(Course, LastBeatsAndDeviationsOfStretchesByHand)
{
    std::vector<Stretched> const stretches{
        {0, false, {0, 1, 2}}, {0, true, {2, 3}}, {2, false, {3, 4, 5}}, {3, false, {7, 8, 9}}, {6, false, {9, 10}}};
    EXPECT_THAT(last_beats(stretches, 7), ElementsAre(0, 1, 3, 7, 8, 9, 9, 10));
    auto const deviations = deviations_of(stretches);
    ASSERT_EQ(deviations.size(), 3U);
    EXPECT_EQ(deviations[0].kind, Deviation::Kind::extra);
    EXPECT_EQ(deviations[0].beat, 2);
    EXPECT_THAT(deviations[0].from, DoubleNear(2, 1e-9));
    EXPECT_THAT(deviations[0].to, DoubleNear(3, 1e-9));
    EXPECT_EQ(deviations[1].kind, Deviation::Kind::again);
    EXPECT_EQ(deviations[1].beat, 3);
    EXPECT_THAT(deviations[1].from, DoubleNear(4, 1e-9)); // beat 3 was reached at 4 s
    EXPECT_THAT(deviations[1].to, DoubleNear(7, 1e-9));
    EXPECT_EQ(deviations[2].kind, Deviation::Kind::skipped);
    EXPECT_EQ(deviations[2].beat, 5);
    EXPECT_EQ(deviations[2].next_beat, 6);
}

TEST(Strokes, ArePutWhereTheStepsOfThePatternAre)
{
    auto const beats = [](std::vector<Stroke> const& strokes) {
        std::vector<double> times;
        for (Stroke const& stroke : strokes)
            times.push_back(stroke.beat);
        return times;
    };
    EXPECT_THAT(beats(strokes_of("D - D U - U D U", 4)), ElementsAre(0, 1, 1.5, 2.5, 3, 3.5));
    EXPECT_THAT(beats(strokes_of("D U D U", 2, 0.667)), ElementsAre(0, 0.667, 1, 1.667));
    auto const expected = expected_strokes(strokes_of("D Dx D> U", 4), 4);
    ASSERT_EQ(expected.strokes.size(), 4U);
    EXPECT_FALSE(expected.strokes[1].ringing);
    EXPECT_GT(expected.strokes[2].weight, expected.strokes[0].weight);
}

// "D - D U - U D U" has six strokes a bar and none on the third beat but where a chord begins there.
TEST(BuiltPerformanceTruth, APatternIsPlayedAsWritten)
{
    Manner manner;
    manner.patterns = {"D - D U - U D U"};
    manner.drift = 0;
    auto const played = build_performance(manner, 21);
    PlayedPart const& truth = played.parts[0];
    EXPECT_EQ(played.strums[0], "D - D U - U D U");
    ASSERT_EQ(played.chart[0].strokes.strokes.size(), 6U);
    for (std::size_t beat = 0; beat + 4 < truth.beats.size(); beat += 4) {
        double const length = truth.beats[beat + 1] - truth.beats[beat];
        auto const near = [&](double at) {
            double const time = truth.beats[beat] + at * length;
            return !strikes_between(played, time - 0.03, time + 0.03).empty();
        };
        EXPECT_TRUE(near(0) && near(1) && near(1.5) && near(3)) << beat;
        EXPECT_FALSE(near(0.25) || near(2) || near(1.25)) << beat;
    }
}

TEST(BuiltPerformanceTruth, PartsInAnotherOrderTwiceAndNotAtAll)
{
    auto const order = [](PartOrder kind) {
        Manner manner;
        manner.order = kind;
        return build_performance(manner, 31).parts;
    };
    auto const other = order(PartOrder::other);
    EXPECT_FALSE(std::ranges::is_sorted(other, {}, [](PlayedPart const& part) { return part.beats.front(); }));
    auto const twice = order(PartOrder::twice);
    EXPECT_EQ(std::ranges::count_if(twice, [](PlayedPart const& part) { return part.earlier.size() == 1; }), 1);
    auto const missing = order(PartOrder::not_played);
    EXPECT_EQ(std::ranges::count_if(missing, [](PlayedPart const& part) { return !part.played(); }), 1);
}

// The pins of the finished cue file put each bar 30 ms before its first beat.
TEST(LessonText, IsReadAndHasTheTruth)
{
    for (Condition const& kind : conditions()) {
        auto const played = build_performance(kind.manner, 17);
        pipeline::LessonReadOptions untimed;
        untimed.charts = pipeline::Charts::untimed;
        auto const rough = pipeline::parse_lesson(rough_lesson(played), "lantern.json", untimed);
        ASSERT_TRUE(rough.usable()) << kind.name << ": " << rough.findings[0].what;
        ASSERT_EQ(rough.lesson->sections.size(), played.chart.size());
        for (std::size_t part = 0; part < played.chart.size(); ++part)
            EXPECT_EQ(rough.lesson->sections[part].strum.has_value(), !played.strums[part].empty());
        auto const timed = pipeline::parse_lesson(timed_lesson(played, {.seconds = 0.5}), "lantern.json");
        ASSERT_TRUE(timed.usable()) << kind.name << ": " << timed.findings[0].what;
        if (kind.deviating)
            continue;
        auto const map = *pipeline::tempo_map(timed.lesson->sections[1]);
        auto const beat = static_cast<std::size_t>(played.chart[1].beats_per_bar);
        EXPECT_NEAR(pipeline::to_seconds(map.time_at(pipeline::BarPosition{2, 1, 0})),
                    played.parts[1].beats[beat] + 0.47, 0.001)
            << kind.name;
    }
}

// Where the playing leaves the chart the pins say until when it is played, and when and where it goes on.
TEST(LessonText, SaysWhereThePlayingLeavesTheChart)
{
    constexpr double kLead = 0.030;
    for (Departure const departure : {Departure::pause, Departure::pause_inside, Departure::hold, Departure::extra,
                                      Departure::skip, Departure::again, Departure::restart_bar, Departure::any}) {
        auto const played = with(departure, 19);
        auto const timed = pipeline::parse_lesson(timed_lesson(played), "lantern.json");
        ASSERT_TRUE(timed.usable()) << static_cast<int>(departure) << ": " << timed.findings[0].what;
        for (std::size_t part = 0; part < played.parts.size(); ++part) {
            auto const map = *pipeline::tempo_map(timed.lesson->sections[part]);
            auto const offset = [](int beat) { return beat * pipeline::kTicksPerBeat; };
            for (Deviation const& one : played.parts[part].deviations) {
                if (one.beat == 0)
                    continue;
                EXPECT_NEAR(pipeline::to_seconds(map.time_at(offset(one.next_beat))), one.to - kLead, 0.001);
                EXPECT_NEAR(pipeline::to_seconds(map.end_at(offset(one.beat))), one.from - kLead, 0.001);
                EXPECT_EQ(map.skips(offset(one.beat)), one.kind == Deviation::Kind::skipped);
            }
        }
    }
}

// Before its first stroke the sound is still; right behind it, it is not.
TEST(BuiltSound, BeginsWhereItIsStruck)
{
    auto guitars = sound_font_guitars();
    ASSERT_FALSE(guitars.empty());
    auto const played = build_performance({.parts = 1}, 41);
    auto const sound = play(played, guitars[0]);
    auto const at = static_cast<std::size_t>(played.parts[0].span_starts[0] * kSampleRate);
    auto const loudest = [&](std::size_t from, std::size_t to) {
        float most = 0;
        for (std::size_t n = from; n < to; ++n)
            most = std::max(most, std::abs(sound[n]));
        return most;
    };
    EXPECT_EQ(loudest(0, at - 1), 0.0F);
    EXPECT_GT(loudest(at, at + kSampleRate / 200), 0.01F); // 5 ms
}

TEST(PerformanceScore, OnAPassedBeatTheBeatAndTheStrokeAreRight)
{
    pipeline::ExpectedPart part;
    part.spans = {{{{0, 4, 7}, 0}, 0, 2}, {{{7, 11, 2}, 7}, 2, 2}};
    PlayedPart played;
    played.beats = {1, 2, 3, 4, 5};
    played.span_starts = {1, 2.5};
    played.passed = {false, true};
    EXPECT_THAT(error_of(part, played, 0, 1.5), testing::Optional(DoubleNear(0.5, 1e-9)));
    EXPECT_THAT(error_of(part, played, 1, 2.5), testing::Optional(DoubleNear(0, 1e-9)));
    EXPECT_THAT(error_of(part, played, 1, 3), testing::Optional(DoubleNear(0, 1e-9)));
    EXPECT_THAT(error_of(part, played, 1, 2.75), testing::Optional(DoubleNear(0.25, 1e-9)));
}

} // namespace
} // namespace tabard::tests
