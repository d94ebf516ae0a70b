#include "pipeline/timeline/tempo_map.h"

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

} // namespace
} // namespace tabard::pipeline
