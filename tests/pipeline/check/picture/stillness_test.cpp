#include "pipeline/check/picture/stillness.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace tabard::pipeline {
namespace {

using testing::ElementsAre;
using testing::IsEmpty;

Grid plain(float luma)
{
    Grid grid;
    grid.fill({luma, 128, 128});
    return grid;
}

/// Shows pictures at 25 a second: `luma(n)` is the light of picture n.
template <class Luma>
StillnessMeter shown(int pictures, Luma luma)
{
    StillnessMeter meter{Range::limited};
    for (int n = 0; n < pictures; ++n)
        meter.add(from_frame(n, {25, 1}), plain(luma(n)));
    meter.finish();
    return meter;
}

TEST(Stillness, BlackForHalfASecondIsFoundAndABlinkIsNot)
{
    // Pictures 10 to 24: black from 0.40 s to the last black picture, 0.96 s.
    auto const black = shown(60, [](int n) { return n >= 10 && n < 25 ? 17.0F : 90.0F + static_cast<float>(n % 2); });
    EXPECT_THAT(black.black(), ElementsAre(FilmSpan{from_frame(10, {25, 1}), from_frame(24, {25, 1})}));
    EXPECT_THAT(black.frozen(), IsEmpty());
    EXPECT_THAT(shown(60, [](int n) { return n >= 10 && n < 20 ? 17.0F : 90.0F; }).black(), IsEmpty());
}

TEST(Stillness, ADarkSceneIsNotBlack)
{
    EXPECT_THAT(shown(60, [](int) { return 30.0F; }).black(), IsEmpty());
    EXPECT_THAT(shown(60, [](int) { return 27.0F; }).black(), testing::SizeIs(1));
}

TEST(Stillness, APictureThatStandsForTwoSecondsIsFrozen)
{
    auto const meter = shown(100, [](int n) { return n < 20 || n > 75 ? 90.0F + static_cast<float>(n) : 60.0F; });
    EXPECT_THAT(meter.frozen(), ElementsAre(FilmSpan{from_frame(20, {25, 1}), from_frame(75, {25, 1})}));
    EXPECT_THAT(meter.black(), IsEmpty());
}

TEST(Stillness, WhatMovesSlowlyIsNotFrozen)
{
    EXPECT_THAT(shown(200, [](int n) { return 60.0F + 0.05F * static_cast<float>(n); }).frozen(), IsEmpty());
}

} // namespace
} // namespace tabard::pipeline
