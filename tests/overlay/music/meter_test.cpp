#include "overlay/music/meter.h"

#include <string>
#include <utility>
#include <vector>

#include <gtest/gtest.h>

namespace tabard::overlay {
namespace {

/// The beats that begin a group, counted from 1.
std::string strong(Meter meter)
{
    std::string all;
    for (int beat = 0; beat < meter.beats; ++beat)
        if (meter.begins_group(beat))
            all += (all.empty() ? "" : " ") + std::to_string(beat + 1);
    return all;
}

// A sum says where groups begin: after 3 of 3+2 comes beat 4 (arithmetic). Without one: the rudiments of music in any
// primer for compound meters, 3+2 and 2+2+3 by common practice, else every beat.
TEST(Meter, GroupsBeginWhereTheSumSays)
{
    std::vector<std::pair<char const*, char const*>> const table{
        {"3+2/4", "1 4"},
        {"2+3/4", "1 3"},
        {"5/4", "1 4"},
        {"5/8", "1 4"},
        {"2+2+3/8", "1 3 5"},
        {"3+2+2/8", "1 4 6"},
        {"2+3+2/8", "1 3 6"},
        {"7/8", "1 3 5"},
        {"7/16", "1 3 5"},
        {"4+3/4", "1 5"},
        {"3+4/4", "1 4"},
        {"7/4", "1 2 3 4 5 6 7"},
        {"3+3+2/8", "1 4 7"},
        {"8/8", "1 2 3 4 5 6 7 8"},
        {"3+2+3/8", "1 4 6"},
        {"3+3+2+2/8", "1 4 7 9"},
        {"2+2+3+2+2/8", "1 3 5 8 10"},
        {"2+2/4", "1 3"},
        {"4/4", "1 2 3 4"},
        {"3/4", "1 2 3"},
        {"6/8", "1 4"},
        {"3+3/8", "1 4"},
        {"2+2+2/8", "1 3 5"},
        {"9/8", "1 4 7"},
        {"2+2+2+3/8", "1 3 5 7"},
        {"12/8", "1 4 7 10"},
        {"15/8", "1 4 7 10 13"},
        {"1+15/16", "1 2"},
    };
    for (auto const& [text, beats] : table)
        EXPECT_EQ(strong(Meter::parse(text).value()), beats) << text;
}

TEST(Meter, PrintsBackWhatItRead)
{
    for (auto const* text : {"4/4", "6/8", "7/8", "3+2/4", "2+2+3/8", "1+1+1+1/4", "8+8/16", "12/8", "3+3+3+3/8"})
        EXPECT_EQ(Meter::parse(text).value().text(), text);
    EXPECT_EQ(Meter::parse(" 2 + 2+3 / 8 ").value().text(), "2+2+3/8");
    EXPECT_EQ(Meter::parse("05/4").value(), (Meter{5, 4}));
}

// The tempo of 6/8 counts dotted quarters, two to a bar; written 3+3 it is the same music. 2+2+2/8 is not felt in
// threes.
TEST(Meter, OnlyThreesOfEighthsAreCountedAsOnePulse)
{
    std::vector<std::pair<char const*, int>> const table{
        {"6/8", 2},     {"3+3/8", 2}, {"12/8", 4},  {"3+3+3+3/8", 4}, {"2+2+2/8", 6}, {"4+2/8", 6},
        {"2+2+3/8", 7}, {"7/8", 7},   {"3+2/4", 5}, {"3+3/4", 6},     {"2+2/4", 4},   {"3/8", 3},
    };
    for (auto const& [text, pulses] : table)
        EXPECT_EQ(Meter::parse(text).value().pulses(), pulses) << text;
}

TEST(Meter, WhatIsNoneIsRefusedByThePartThatIsWrong)
{
    std::vector<std::pair<char const*, char const*>> const table{
        {"4", "'4' is no meter: there is no / between beats and unit"},
        {"3+2/5", "'3+2/5' is no meter: the unit '5' is none of 2, 4, 8 and 16"},
        {"3+2/", "'3+2/' is no meter: the unit '' is none of 2, 4, 8 and 16"},
        {"3+0/4", "'3+0/4' is no meter: group 2 is 0"},
        {"0/4", "'0/4' is no meter: the number of beats is 0"},
        {"3++2/4", "'3++2/4' is no meter: group 2, '', is no whole number"},
        {"3+two/4", "'3+two/4' is no meter: group 2, 'two', is no whole number"},
        {"+3/4", "'+3/4' is no meter: group 1, '', is no whole number"},
        {"-3/4", "'-3/4' is no meter: the number of beats, '-3', is no whole number"},
        {"(3+2)/4", "'(3+2)/4' is no meter: group 1, '(3', is no whole number"},
        {"3+2=5/4", "'3+2=5/4' is no meter: group 2, '2=5', is no whole number"},
        {"3/4+2/4", "'3/4+2/4' is no meter: the whole sum stands before one /"},
        {"8+9/8", "'8+9/8' is no meter: a bar has at most 16 beats in all"},
        {"17/8", "'17/8' is no meter: a bar has at most 16 beats in all"},
        {"99999999999999999999/8", "'99999999999999999999/8' is no meter: a bar has at most 16 beats in all"},
        {"1+1+1+1+1+1+1+1+1+1+1+1+1+1+1+1+1/8",
         "'1+1+1+1+1+1+1+1+1+1+1+1+1+1+1+1+1/8' is no meter: a bar has at most 16 beats in all"},
    };
    for (auto const& [text, what] : table) {
        auto const meter = Meter::parse(text);
        ASSERT_FALSE(meter) << text;
        EXPECT_EQ(meter.error().what, what);
    }
}

} // namespace
} // namespace tabard::overlay
