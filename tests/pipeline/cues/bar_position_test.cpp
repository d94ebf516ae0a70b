#include "pipeline/cues/bar_position.h"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

namespace tabard::pipeline {
namespace {

constexpr overlay::Meter kFour{4, 4};
constexpr overlay::Meter kSix{6, 8};

TEST(BarPosition, IsReadAsPlayersSayIt)
{
    EXPECT_EQ(BarPosition::parse("5.1"), (Result<BarPosition>{BarPosition{5, 1, 0}}));
    EXPECT_EQ(BarPosition::parse("5"), (Result<BarPosition>{BarPosition{5, 1, 0}}));
    EXPECT_EQ(BarPosition::parse("12.3+1/2"), (Result<BarPosition>{BarPosition{12, 3, kTicksPerBeat / 2}}));
    EXPECT_EQ(BarPosition::parse("999999.999999"), (Result<BarPosition>{BarPosition{999'999, 999'999, 0}}));
    EXPECT_EQ(BarPosition::parse("1.1+1/3").value().ticks * 3, kTicksPerBeat);
    for (char const* text : {"1000000.1", "1.1000000", "1.1+0/2",  "1.1+1/1", "1.1+3/2", "1.1+1", "1.1+1/2x",   "+1",
                             "1.-1",      "1.1+-1/2",  "",         "0.1",     "1.0",     "1.",    ".1",         "1.1+",
                             "1.1+1/0",   "1.1+2/2",   "1.1+1/11", "-1.1",    "1.1 ",    "1.1.1", "99999999.1", "a"})
        EXPECT_FALSE(BarPosition::parse(text)) << text;
}

// Bar 3, beat 2 in 4/4 comes after two bars of four beats and one beat; in 6/8 bars have six.
TEST(BarPosition, CountsBeatsAsTheMeterIsWritten)
{
    EXPECT_EQ((BarPosition{3, 2, 0}.offset(kFour)), 9 * kTicksPerBeat);
    EXPECT_EQ((BarPosition{3, 2, 0}.offset(kSix)), 13 * kTicksPerBeat);
}

RC_GTEST_PROP(BarPosition, ReadingInvertsPrintingAndOffsetsInvert, ())
{
    BarPosition const position{*rc::gen::inRange(1, 1000), *rc::gen::inRange(1, 7),
                               *rc::gen::inRange<std::int64_t>(0, kTicksPerBeat)};
    RC_ASSERT(BarPosition::parse(position.text()).value() == position);
    RC_ASSERT(BarPosition::from_offset(position.offset(kSix), kSix) == position);
}

TEST(BarPosition, BeforeTheFirstBarCountsDown)
{
    EXPECT_EQ(BarPosition::from_offset(-1 * kTicksPerBeat, kFour), (BarPosition{0, 4, 0}));
}

} // namespace
} // namespace tabard::pipeline
