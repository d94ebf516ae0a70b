#include "pipeline/timeline/tempo_map.h"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <cstdlib>
#include <optional>
#include <vector>

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

namespace tabard::pipeline {
namespace {

constexpr overlay::Meter kFour{4, 4};
constexpr overlay::Meter kSix{6, 8};

Time ms(std::int64_t milliseconds) { return from_ticks(milliseconds, 1, 1000); }

// 120 a minute is a beat each 0.5 s: bar 3 begins after 8 beats.
TEST(TempoMap, OnePinAndATempoCountEvenly)
{
    TempoMap const map(kFour, {{{1, 1, 0}, ms(10'000), {}}}, Tempo{120'000});
    EXPECT_EQ(map.time_at(BarPosition{3, 1, 0}), ms(14'000));
    EXPECT_EQ(map.time_at(BarPosition{1, 2, kTicksPerBeat / 2}), ms(10'750));
    EXPECT_EQ(map.time_at(-4 * kTicksPerBeat), ms(8'000)) << "a bar before";
    EXPECT_EQ(map.tempo_at(0).thousandths, 120'000);
}

// In 6/8 the tempo counts dotted quarters, two a bar: at 60 a bar lasts 2 s and an eighth 1/3 s.
TEST(TempoMap, CompoundMetersCountTheDottedUnit)
{
    TempoMap const map(kSix, {{{1, 1, 0}, ms(0), {}}}, Tempo{60'000});
    EXPECT_EQ(map.time_at(BarPosition{2, 1, 0}), ms(2'000));
    EXPECT_EQ(map.time_at(BarPosition{1, 4, 0}), ms(1'000));
    EXPECT_EQ(map.tempo_at(0).thousandths, 60'000);
}

// Four bars between the pins in 11.58 s: 2.895 s a bar, 16 beats at 82.902 a minute.
TEST(TempoMap, RunsStraightBetweenPinsAndGoesOnAfterThem)
{
    TempoMap const map(kFour, {{{1, 1, 0}, ms(91'020), {}}, {{5, 1, 0}, ms(102'600), {}}, {{6, 1, 0}, ms(104'600), {}}},
                       std::nullopt);
    EXPECT_EQ(map.time_at(BarPosition{2, 1, 0}), ms(93'915));
    EXPECT_EQ(map.time_at(BarPosition{5, 3, 0}), ms(103'600));
    EXPECT_EQ(map.time_at(BarPosition{8, 1, 0}), ms(108'600));
    EXPECT_EQ(map.time_at(-kTicksPerBeat), ms(91'020) - (ms(102'600) - ms(91'020)) / 16);
    EXPECT_EQ(map.tempo_at(0).thousandths, 82'902);
    EXPECT_EQ(map.tempo_at(BarPosition{5, 1, 0}.offset(kFour)).thousandths, 120'000);
}

// 76 a minute for 1000 bars: 4000 * 60 / 76 = 3157.8947368 s; rounding each beat would be off by a thousand flicks.
TEST(TempoMap, DoesNotDrift)
{
    TempoMap const map(kFour, {{{1, 1, 0}, ms(0), {}}}, Tempo{76'000});
    EXPECT_LE(std::chrono::abs(map.time_at(BarPosition{1001, 1, 0}) - from_ticks(4000 * 60, 1, 76)), Time{2});
}

// Once a tempo so slow that it was no thousandth of a beat a minute came out as 0, and its pulse as a division by it.
TEST(TempoMap, APulseHasALengthHoweverFarPinsLieApart)
{
    TempoMap const slow(kFour, {{{1, 1, 0}, ms(0), {}}, {{1, 1, 1}, ms(3'600'000'000), {}}}, std::nullopt);
    EXPECT_EQ(slow.tempo_at(0).thousandths, 1);
    TempoMap const fast(kFour, {{{1, 1, 0}, ms(0), {}}, {{99999, 1, 0}, Time{1}, {}}}, std::nullopt);
    EXPECT_GT(fast.tempo_at(0).thousandths, 0);
}

RC_GTEST_PROP(TempoMap, APlaceIsFoundAgainFromItsTime, ())
{
    auto const steps = *rc::gen::container<std::vector<int>>(3, rc::gen::inRange(1, 500'000'000));
    std::vector<Pin> pins;
    Time time{0};
    for (int i = 0; i < 3; ++i)
        pins.push_back({{1 + 2 * i, 1, 0}, time += Time{steps[static_cast<std::size_t>(i)]} + Time{1'000'000}, {}});
    TempoMap const map(kFour, pins, std::nullopt);
    std::int64_t const offset = *rc::gen::inRange<std::int64_t>(-100'000, 300'000);
    RC_ASSERT(map.offset_at(map.time_at(offset)) == offset);
    RC_ASSERT(map.offset_at(map.time_at(offset) - Time{1}) == offset - 1);
}

/// Stops at bar 5 from 0:37 to 0:43.6; 2 s a bar before it, 1.5 s after it.
TempoMap with_pause()
{
    return {kFour,
            {{{1, 1, 0}, ms(29'000), {}},
             {{5, 1, 0}, ms(37'000), {}, Pin::GoesOn{{5, 1, 0}, ms(43'600)}},
             {{7, 1, 0}, ms(46'600), {}}},
            std::nullopt};
}

TEST(TempoMap, StandsStillInAPause)
{
    TempoMap const map = with_pause();
    std::int64_t const bar_five = BarPosition{5, 1, 0}.offset(kFour);
    EXPECT_EQ(map.time_at(bar_five - kTicksPerBeat), ms(36'500));
    EXPECT_EQ(map.end_at(bar_five), ms(37'000)) << "bar 4 ends where the playing stops";
    EXPECT_EQ(map.time_at(bar_five), ms(43'600)) << "and bar 5 begins where it goes on";
    EXPECT_EQ(map.time_at(bar_five + kTicksPerBeat), ms(43'975));
    EXPECT_EQ(map.end_at(bar_five + kTicksPerBeat), ms(43'975));
    EXPECT_EQ(map.offset_at(ms(37'000) - Time{1}), bar_five - 1);
    for (Time const in_the_pause : {ms(37'000), ms(40'000), ms(43'600) - Time{1}, ms(43'600)})
        EXPECT_EQ(map.offset_at(in_the_pause), bar_five);
    EXPECT_EQ(map.tempo_at(bar_five - 1).thousandths, 120'000);
    EXPECT_EQ(map.tempo_at(bar_five).thousandths, 160'000) << "the pause is in no line";
}

// Bars 5 and 6 are skipped: 4 s of bars 1 to 2 at 2 s, and bar 7 begins where bar 5 would.
TEST(TempoMap, PassesSkippedBarsInNoTime)
{
    TempoMap const map(kFour, {{{5, 1, 0}, ms(37'000), {}, Pin::GoesOn{{7, 1, 0}, ms(37'000)}}}, Tempo{120'000});
    std::int64_t const five = BarPosition{5, 1, 0}.offset(kFour);
    std::int64_t const seven = BarPosition{7, 1, 0}.offset(kFour);
    EXPECT_EQ(map.time_at(BarPosition{4, 1, 0}), ms(35'000));
    for (std::int64_t const place : {five, five + 1, seven - 1, seven}) {
        EXPECT_EQ(map.time_at(place), ms(37'000)) << place;
        EXPECT_EQ(map.end_at(place), ms(37'000)) << place;
    }
    EXPECT_EQ(map.time_at(BarPosition{8, 1, 0}), ms(39'000));
    EXPECT_EQ(map.offset_at(ms(37'000)), seven);
    EXPECT_EQ(map.offset_at(ms(37'000) - Time{1}), five - 1);
    EXPECT_EQ(map.played_ticks(0, BarPosition{9, 1, 0}.offset(kFour)), 24 * kTicksPerBeat) << "six bars of eight";
    EXPECT_EQ(map.place_before(seven + kTicksPerBeat, kTicksPerBeat), seven);
    EXPECT_EQ(map.place_before(seven + kTicksPerBeat, 2 * kTicksPerBeat), five - kTicksPerBeat);
}

TEST(TempoMap, MayPauseAndSkipAtOnce)
{
    TempoMap const map(kFour, {{{5, 1, 0}, ms(37'000), {}, Pin::GoesOn{{7, 1, 0}, ms(40'000)}}}, Tempo{120'000});
    BarPosition const six{6, 1, 0};
    EXPECT_EQ(map.end_at(six), ms(37'000)) << "what lasts into the skip ends where the playing stops";
    EXPECT_EQ(map.time_at(six), ms(40'000)) << "what begins in the skip begins where it goes on";
    EXPECT_EQ(map.end_at(BarPosition{7, 1, 0}), ms(37'000));
    EXPECT_EQ(map.time_at(BarPosition{7, 1, 0}), ms(40'000));
    EXPECT_EQ(map.offset_at(ms(38'000)), (BarPosition{7, 1, 0}).offset(kFour));
    EXPECT_EQ(map.time_at(BarPosition{4, 4, 0}), ms(36'500)) << "before the pause";
    EXPECT_EQ(map.time_at(BarPosition{7, 2, 0}), ms(40'500)) << "after it";
}

// The lines beside the first and the last pin go on from the side of it that lies outside.
TEST(TempoMap, MayPauseAtItsFirstAndLastPin)
{
    TempoMap const map(kFour,
                       {{{3, 1, 0}, ms(10'000), {}, Pin::GoesOn{{3, 1, 0}, ms(15'000)}},
                        {{5, 1, 0}, ms(19'000), {}, Pin::GoesOn{{5, 1, 0}, ms(20'000)}}},
                       std::nullopt);
    EXPECT_EQ(map.time_at(BarPosition{}), ms(6'000)) << "two bars of 2 s before 0:10";
    EXPECT_EQ(map.time_at(BarPosition{7, 1, 0}), ms(24'000)) << "two bars of 2 s after 0:20";
    EXPECT_EQ(map.tempo_at(0).thousandths, 120'000);
    EXPECT_EQ(map.tempo_at(BarPosition{6, 1, 0}.offset(kFour)).thousandths, 120'000);
}

/// Pins with pauses and skips, some with neither; rising.
std::vector<Pin> any_pins()
{
    std::vector<Pin> pins;
    std::int64_t place = *rc::gen::inRange<std::int64_t>(0, 40'000);
    Time time{*rc::gen::inRange<std::int64_t>(-2'000'000'000, 2'000'000'000)};
    int const count = *rc::gen::inRange(1, 6);
    for (int i = 0; i < count; ++i) {
        Pin pin{BarPosition::from_offset(place, kFour), time, {}};
        bool const skips = *rc::gen::arbitrary<bool>();
        bool const pauses = *rc::gen::arbitrary<bool>();
        place += skips ? *rc::gen::inRange<std::int64_t>(1, 50'000) : 0;
        time += Time{pauses ? *rc::gen::inRange<std::int64_t>(1, 3'000'000'000) : 0};
        if (skips || pauses)
            pin.goes_on = Pin::GoesOn{BarPosition::from_offset(place, kFour), time};
        pins.push_back(pin);
        place += *rc::gen::inRange<std::int64_t>(1, 60'000);
        time += Time{*rc::gen::inRange<std::int64_t>(6'000'000, 900'000'000)};
    }
    return pins;
}

/// Nearest whole number, halves up, of a fraction with a positive denominator.
std::int64_t rounded(long double value) { return static_cast<std::int64_t>(std::floor(value + 0.5L)); }

/// What a map should say, found by walking over the pins: `played` is whether what begins there is played.
struct Model {
    std::vector<Pin> pins;
    Tempo tempo;

    static std::int64_t place(BarPosition position) { return position.offset(kFour); }
    /// Flicks a tick between pin `i` and the next; those outside have their neighbour's.
    long double rate(std::size_t i) const
    {
        if (pins.size() == 1)
            return 60'000.0L * kFlicksPerSecond / static_cast<long double>(tempo.thousandths) / kTicksPerBeat;
        i = std::min(i, pins.size() - 2);
        return static_cast<long double>((pins[i + 1].time - pins[i].next_time()).count()) /
               static_cast<long double>(place(pins[i + 1].position) - place(pins[i].next_position()));
    }
    /// When a place is played; none where it is skipped. A pin's own place is played where its playing goes on.
    std::optional<long double> time(std::int64_t offset) const
    {
        if (offset < place(pins[0].position))
            return static_cast<long double>(pins[0].time.count()) -
                   rate(0) * static_cast<long double>(place(pins[0].position) - offset);
        for (std::size_t i = 0; i < pins.size(); ++i) {
            bool const before_next = i + 1 == pins.size() || offset < place(pins[i + 1].position);
            if (offset >= place(pins[i].next_position()) && before_next)
                return static_cast<long double>(pins[i].next_time().count()) +
                       rate(i) * static_cast<long double>(offset - place(pins[i].next_position()));
        }
        return std::nullopt;
    }
    bool in_pause(Time time) const
    {
        return std::ranges::any_of(pins, [&](Pin const& pin) { return pin.time <= time && time < pin.next_time(); });
    }
};

RC_GTEST_PROP(TempoMap, AgreesWithAWalkOverItsPins, ())
{
    Model const model{any_pins(), Tempo{*rc::gen::inRange<std::int64_t>(20'000, 300'000)}};
    TempoMap const map(kFour, model.pins, model.tempo);
    std::int64_t const offset = *rc::gen::inRange<std::int64_t>(-100'000, 600'000);
    auto const expected = model.time(offset);
    if (!expected) {
        RC_ASSERT(map.time_at(offset) == map.time_at(offset + 1));
        RC_ASSERT(map.end_at(offset) == map.end_at(offset + 1));
        return;
    }
    // The model counts in floating point: half a flick may fall to either side.
    RC_ASSERT(std::abs(map.time_at(offset).count() - rounded(*expected)) <= 1);
    RC_ASSERT(map.offset_at(map.time_at(offset)) == offset);
    Time const before = map.time_at(offset) - Time{1};
    bool const stands = model.in_pause(before);
    RC_ASSERT(stands == (map.offset_at(before) == offset));
    RC_ASSERT(map.offset_at(before) <= offset);
}

RC_GTEST_PROP(TempoMap, NeverRunsBackwards, ())
{
    std::vector<Pin> const pins = any_pins();
    TempoMap const map(kFour, pins, Tempo{90'000});
    auto const offsets =
        *rc::gen::container<std::vector<std::int64_t>>(2, rc::gen::inRange<std::int64_t>(-50'000, 600'000));
    auto const [early, late] = std::minmax(offsets[0], offsets[1]);
    RC_ASSERT(map.time_at(early) <= map.time_at(late));
    RC_ASSERT(map.end_at(early) <= map.end_at(late));
    RC_ASSERT(map.end_at(early) <= map.time_at(early));
    RC_ASSERT(map.played_ticks(early, late) >= 0);
    std::int64_t const ticks = *rc::gen::inRange<std::int64_t>(1, 100'000);
    std::int64_t const place = map.place_before(late, ticks);
    RC_ASSERT(map.played_ticks(place, late) == ticks);
    RC_ASSERT(map.played_ticks(place, place + 1) == 1);
    Time const time = map.time_at(early) + Time{*rc::gen::inRange<std::int64_t>(0, 3'000'000'000)};
    RC_ASSERT(map.offset_at(map.time_at(early)) <= map.offset_at(time));
}

} // namespace
} // namespace tabard::pipeline
