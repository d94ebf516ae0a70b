#include "pipeline/workspace/cut_film.h"

#include <gtest/gtest.h>

namespace tabard::pipeline {
namespace {

CutReading cut(std::int64_t frames, FrameRate rate, std::optional<std::int64_t> first = {})
{
    CutReading reading;
    reading.new_length = from_frame(frames, rate);
    reading.first_frame = first;
    return reading;
}

bool doubted(CutReading const& reading, std::int64_t frames, FrameRate rate, char const* label = "")
{
    return doubt_of_film(reading, {Time{0}, from_frame(frames, rate), rate}, label).has_value();
}

constexpr FrameRate k24{24000, 1001};
constexpr FrameRate k25{25, 1};
constexpr FrameRate k30{30000, 1001};
constexpr FrameRate k60{60000, 1001};

TEST(DoubtOfFilm, AFrameMoreOrLessIsTheSameFilm)
{
    for (std::int64_t const frames : {999, 1000, 1001})
        EXPECT_FALSE(doubted(cut(1000, k25), frames, k25)) << frames;
    EXPECT_TRUE(doubted(cut(1000, k25), 1002, k25));
    EXPECT_TRUE(doubted(cut(1000, k25), 998, k25));
}

TEST(DoubtOfFilm, LabelsThatDifferByFullHoursAreTheSame)
{
    EXPECT_FALSE(doubted(cut(100, k25, 90000), 100, k25, "01:00:00:00"));
    EXPECT_FALSE(doubted(cut(100, k25, 90000), 100, k25, "00:00:00:00"));
    EXPECT_FALSE(doubted(cut(100, k25, 90000), 100, k25, ""));     // no timecode
    EXPECT_FALSE(doubted(cut(100, k25), 100, k25, "00:00:07:00")); // the list says none, or the author did
    EXPECT_TRUE(doubted(cut(100, k25, 90001), 100, k25, "01:00:00:00"));
    EXPECT_TRUE(doubted(cut(100, k25, 90000), 100, k25, "00:59:59:00"));
}

// SMPTE ST 12-1: 01:00:00;00 is frame 107892 at 29.97 and 215784 at 59.94; 01:00:00:00 is 108000 and 216000.
TEST(DoubtOfFilm, HoursAreHoursWhetherFramesAreDroppedOrNot)
{
    for (std::int64_t const hour : {107892, 108000, 0})
        for (char const* label : {"01:00:00;00", "01:00:00:00", "00:00:00:00"})
            EXPECT_FALSE(doubted(cut(100, k30, hour), 100, k30, label)) << hour << label;
    EXPECT_FALSE(doubted(cut(100, k60, 215784), 100, k60, "01:00:00:00"));
    EXPECT_FALSE(doubted(cut(100, k60, 216000), 100, k60, "02:00:00;00"));
    EXPECT_TRUE(doubted(cut(100, k60, 216060), 100, k60, "01:00:00;00"));
    EXPECT_TRUE(doubted(cut(100, k24, 86314), 100, k24, "00:00:00:00")); // 23.976 drops none: an hour is 86400
    auto const doubt = doubt_of_film(cut(100, k30, 107892 + 90), {Time{0}, from_frame(100, k30), k30}, "01:00:00;00");
    ASSERT_TRUE(doubt);
    EXPECT_EQ(doubt->what, "the film's first frame is 01:00:00;00, and the cut counts its first from 3.003 s later");
    EXPECT_EQ(doubt->fix, "say --record-start 01:00:00;00 if the film is right");
}

} // namespace
} // namespace tabard::pipeline
