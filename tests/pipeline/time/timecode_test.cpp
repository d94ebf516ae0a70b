#include "pipeline/time/timecode.h"

#include <string>

#include <fmt/format.h>
#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

namespace tabard::pipeline {
namespace {

constexpr FrameRate kFilm{24000, 1001};
constexpr FrameRate kNtsc{30000, 1001};
constexpr FrameRate kNtsc60{60000, 1001};

struct Row {
    FrameRate rate;
    bool drop;
    std::int64_t frame;
    char const* label;
};

// Printed by libavutil 57.28 (av_timecode_make_string), the 30000/1001 rows also by the arithmetic of SMPTE ST 12-1:
// ten minutes are 17982 frames, an hour 107892, a day 2589408.
constexpr Row kRows[] = {
    {kNtsc, true, 1799, "00:00:59;29"},      {kNtsc, true, 1800, "00:01:00;02"},
    {kNtsc, true, 3597, "00:01:59;29"},      {kNtsc, true, 3598, "00:02:00;02"},
    {kNtsc, true, 17981, "00:09:59;29"},     {kNtsc, true, 17982, "00:10:00;00"},
    {kNtsc, true, 18000, "00:10:00;18"},     {kNtsc, true, 19781, "00:10:59;29"},
    {kNtsc, true, 19782, "00:11:00;02"},     {kNtsc, true, 53946, "00:30:00;00"},
    {kNtsc, true, 107892, "01:00:00;00"},    {kNtsc, true, 2589407, "23:59:59;29"},
    {kNtsc60, true, 3599, "00:00:59;59"},    {kNtsc60, true, 3600, "00:01:00;04"},
    {kNtsc60, true, 7195, "00:01:59;59"},    {kNtsc60, true, 7196, "00:02:00;04"},
    {kNtsc60, true, 35964, "00:10:00;00"},   {kNtsc60, true, 215784, "01:00:00;00"},
    {kNtsc60, true, 5178815, "23:59:59;59"}, {kNtsc, false, 1800, "00:01:00:00"},
    {kNtsc, false, 17982, "00:09:59:12"},    {kNtsc, false, 107892, "00:59:56:12"},
    {kFilm, false, 1439, "00:00:59:23"},     {kFilm, false, 86400, "01:00:00:00"},
    {{24, 1}, false, 86400, "01:00:00:00"},  {{25, 1}, false, 1499, "00:00:59:24"},
    {{25, 1}, false, 90000, "01:00:00:00"},  {{30, 1}, false, 108000, "01:00:00:00"},
    {{50, 1}, false, 2999, "00:00:59:49"},   {{50, 1}, false, 180000, "01:00:00:00"},
    {{60, 1}, false, 216000, "01:00:00:00"},
};

TEST(Timecode, LabelsFramesAsTheStandardDoes)
{
    for (Row const& row : kRows) {
        SCOPED_TRACE(row.label);
        EXPECT_EQ(timecode_label(row.frame, {row.rate, row.drop}), row.label);
        EXPECT_EQ(timecode_frame(row.label, row.rate), Result<std::int64_t>{row.frame});
    }
}

TEST(Timecode, ReadingInvertsPrintingForEveryDropFrameOfTwoHours)
{
    for (FrameRate const rate : {kNtsc, kNtsc60})
        for (std::int64_t frame = 0; frame < 2 * 215784; ++frame)
            ASSERT_EQ(timecode_frame(timecode_label(frame, {rate, true}), rate), Result<std::int64_t>{frame});
}

// 2592 labels of a day do not exist at 29.97 drop-frame: 2 in each of 54 minutes of 24 hours. An hour misses 108, at
// 59.94 twice as many.
TEST(Timecode, DropFrameRefusesTheLabelsThatDoNotExistAndNoOther)
{
    for (FrameRate const rate : {kNtsc, kNtsc60}) {
        std::int64_t const labels = rate.num / 1000;
        std::int64_t refused = 0;
        std::int64_t expected = 0;
        for (std::int64_t n = 0; n < 3600 * labels; ++n) {
            auto const text = fmt::format("00:{:02}:{:02};{:02}", n / labels / 60, n / labels % 60, n % labels);
            auto const frame = timecode_frame(text, rate);
            if (frame)
                ASSERT_EQ(*frame, expected++) << text;
            else
                ++refused;
        }
        EXPECT_EQ(refused, 54 * (labels / 15));
    }
}

struct Refusal {
    FrameRate rate;
    char const* label;
    char const* next;
};

// The first two by SMPTE ST 12-1; the others are carried on as a clock does.
constexpr Refusal kRefusals[] = {
    {kNtsc, "00:01:00;00", "00:01:00;02"},   {kNtsc60, "00:11:00;03", "00:11:00;04"},
    {kNtsc, "00:00:59;30", "00:01:00;02"},   {kNtsc, "00:00:10:30", "00:00:11:00"},
    {{25, 1}, "00:00:10:25", "00:00:11:00"}, {{25, 1}, "00:59:60:00", "01:00:00:00"},
    {{24, 1}, "00:99:99:23", "01:00:00:00"}, {{50, 1}, "00:00:00:50", "00:00:01:00"},
};

TEST(Timecode, NamesTheNextLabelWhereNoFrameHasTheOneAskedFor)
{
    for (Refusal const& refusal : kRefusals) {
        auto const frame = timecode_frame(refusal.label, refusal.rate);
        ASSERT_FALSE(frame) << refusal.label;
        EXPECT_NE(frame.error().what.find(fmt::format("the next one is {}", refusal.next)), std::string::npos)
            << frame.error().what;
    }
}

TEST(Timecode, RefusesWhatIsNoLabel)
{
    for (char const* text : {"", "0x:1y:2z;3w", "00:00:00", "1:2:3:4", "00:00:00:0", "00;00:00:00", "-0:00:00:00",
                             "0:00:00:00:00", "00:00:00:00 ", "9999:00:00:00"})
        EXPECT_FALSE(timecode_frame(text, kNtsc)) << text;
    EXPECT_FALSE(timecode_frame("01:00:00;00", {25, 1}));
    EXPECT_FALSE(timecode_frame("01:00:00;00", kFilm));
}

// 999 hours of labels at a frame in a million seconds would lie beyond what a Time holds (3.6e6 * 1e6 s * 7e8 > 2^63).
TEST(Timecode, HasNoLabelsWhereAFrameLastsMoreThanASecond)
{
    EXPECT_FALSE(parse_time("999:59:59:00", FrameRate{1, 1'000'000}));
    EXPECT_FALSE(timecode_frame("00:00:01:00", {999, 1000}));
    EXPECT_EQ(timecode_frame("00:00:05:00", {1, 1}).value_or(-1), 5);
    EXPECT_EQ(parse_time("999:59:59:00", FrameRate{1, 1}), Result<Time>{from_ticks(999 * 3600 + 3599, 1, 1)});
}

TEST(ClockTime, IsReadInTheFormsThatPeopleWrite)
{
    Time const second{kFlicksPerSecond};
    EXPECT_EQ(parse_time("1:02:03.5"), Result<Time>{3723 * second + second / 2});
    EXPECT_EQ(parse_time("2:03"), Result<Time>{123 * second});
    EXPECT_EQ(parse_time("75:30"), Result<Time>{4530 * second});
    EXPECT_EQ(parse_time("63.25"), Result<Time>{63 * second + second / 4});
    EXPECT_EQ(parse_time("-0:00.5"), Result<Time>{-second / 2});
    EXPECT_EQ(parse_time("0:00:02:15", FrameRate{30, 1}), Result<Time>{second * 5 / 2});
    // Frame 1800 of 30000/1001 starts at 1800 * 1001 / 30000 = 60.06 s.
    EXPECT_EQ(parse_time("0:01:00;02", kNtsc), Result<Time>{from_ticks(6006, 1, 100)});
}

TEST(ClockTime, RefusesWhatIsNoTime)
{
    for (char const* text : {"", "-", ".", "1.", ".5", "0:5", "0:60", "1:60:00", "1:2:03", "1 2", "0:12,5", "1e3",
                             "0x10", "--1", "99999999999", "1000:00:00", "1:02:03.5.6", "+1", "0:00:01:00"})
        EXPECT_FALSE(parse_time(text)) << text;
}

TEST(ClockTime, IsPrintedRoundedToTheDecimalsAskedFor)
{
    EXPECT_EQ(print_time(from_ticks(61'500, 1, 1000)), "1:01.500");
    EXPECT_EQ(print_time(from_ticks(3'723'500, 1, 1000)), "1:02:03.500");
    EXPECT_EQ(print_time(from_ticks(-1, 1, 2)), "-0:00.500");
    EXPECT_EQ(print_time(from_ticks(599'999, 1, 10'000)), "1:00.000") << "59.9999 rounds up through the minute";
    EXPECT_EQ(print_time(from_ticks(29, 1, 1), 0), "0:29");
    EXPECT_EQ(print_time(from_ticks(-1, 1, 10'000), 3), "0:00.000") << "nothing is not negative";
}

RC_GTEST_PROP(ClockTime, ReadingInvertsExactPrinting, ())
{
    Time const time{*rc::gen::inRange<std::int64_t>(-3'000'000 * kFlicksPerSecond, 3'000'000 * kFlicksPerSecond)};
    RC_ASSERT(parse_time(print_time_exact(time)).value() == time);
}

TEST(ClockTime, ExactPrintingSaysNoMoreThanItMust)
{
    EXPECT_EQ(print_time_exact(from_ticks(12, 1, 1)), "0:12");
    EXPECT_EQ(print_time_exact(from_ticks(142, 1, 10)), "0:14.2");
}

TEST(FrameRates, AreReadByTheirUsualNames)
{
    EXPECT_EQ(parse_frame_rate("29.97"), Result<FrameRate>{kNtsc});
    EXPECT_EQ(parse_frame_rate("23.976"), Result<FrameRate>{kFilm});
    EXPECT_EQ(parse_frame_rate("59.94"), Result<FrameRate>{kNtsc60});
    EXPECT_EQ(parse_frame_rate("60000/1001"), Result<FrameRate>{kNtsc60});
    EXPECT_EQ(parse_frame_rate("25"), (Result<FrameRate>{FrameRate{25, 1}}));
    EXPECT_EQ(parse_frame_rate("12.5"), (Result<FrameRate>{FrameRate{25, 2}}));
    for (char const* text : {"", "0", "-25", "1/0", "25/", "abc", "99999", "25.", "1.2.3", "0/1"})
        EXPECT_FALSE(parse_frame_rate(text)) << text;
    for (FrameRate const rate : {kFilm, kNtsc, kNtsc60, FrameRate{25, 1}, FrameRate{25, 2}})
        EXPECT_EQ(parse_frame_rate(print_frame_rate(rate)), Result<FrameRate>{rate});
}

} // namespace
} // namespace tabard::pipeline
