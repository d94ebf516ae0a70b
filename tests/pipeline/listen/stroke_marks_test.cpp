#include "pipeline/cues/reader.h"
#include "pipeline/listen/lesson_music.h"
#include "pipeline/listen/stroke_marks.h"

#include <string>

#include <fmt/format.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace tabard::pipeline {
namespace {

using testing::ElementsAre;

ExpectedPart part_of(std::string const& meter, std::string const& strum, std::string const& bars = "C | F",
                     std::string const& more = "")
{
    auto const reading = parse_lesson(
        fmt::format(
            R"({{"tabard": 1, "title": "t", "footage": "f.mp4", "tempo": 60, "meter": "{}", "strums": {{"mine": {}}},
            "sections": [{{"name": "A", "from": 10, "bars": "{}"{}}}]}})",
            meter, strum, bars, more),
        "t.json");
    EXPECT_TRUE(reading.usable());
    auto const music = lesson_music(*reading.lesson, Places::as_written);
    EXPECT_EQ(music.parts.size(), 1U);
    return music.parts.at(0);
}

std::vector<double> places(ExpectedPart const& part)
{
    std::vector<double> result;
    for (ExpectedStroke const& stroke : part.strokes.strokes)
        result.push_back(stroke.beat);
    return result;
}

// Eight steps in four beats are half a beat each.
TEST(ExpectedStrokesOfALesson, AreTheStrokesOfItsPatternInBeats)
{
    auto const part = part_of("4/4", R"("D - Dx U> - U D U")");
    EXPECT_EQ(part.strokes.beats, 4);
    EXPECT_THAT(places(part), ElementsAre(0, 1, 1.5, 2.5, 3, 3.5));
    auto const& strokes = part.strokes.strokes;
    EXPECT_TRUE(strokes[0].ringing);
    EXPECT_FALSE(strokes[1].ringing);
    EXPECT_LT(strokes[1].weight, strokes[0].weight);
    EXPECT_GT(strokes[2].weight, strokes[3].weight);
}

TEST(ExpectedStrokesOfALesson, SwingAndGroupsOfThreeAreFollowed)
{
    EXPECT_THAT(places(part_of("4/4", R"({"steps": "D U D U D U D U", "swing": 0.667})")),
                ElementsAre(0, testing::DoubleNear(0.667, 1e-3), 1, testing::DoubleNear(1.667, 1e-3), 2,
                            testing::DoubleNear(2.667, 1e-3), 3, testing::DoubleNear(3.667, 1e-3)));
    auto const compound = part_of("6/8", R"("D - U D - -")");
    EXPECT_EQ(compound.strokes.beats, 2); // two groups
    EXPECT_THAT(places(compound), ElementsAre(0, testing::DoubleNear(2.0 / 3, 1e-9), 1));
}

TEST(ExpectedStrokesOfALesson, AreNoneWhereThePartSaysSo)
{
    EXPECT_TRUE(part_of("4/4", R"("D D D D")", "C | F", R"(, "strum": "none")").strokes.strokes.empty());
}

TEST(StrokeMarks, SayWhereTheHandPasses)
{
    auto const part = part_of("4/4", R"("D - D U - U D U")");
    auto const marks = stroke_marks(part.strokes);
    ASSERT_EQ(marks.size(), 4U);
    EXPECT_GT(marks[0].weight, 0);
    ASSERT_EQ(marks[0].inside.size(), 1U);
    EXPECT_DOUBLE_EQ(marks[0].inside[0].share, 0.5);
    EXPECT_LT(marks[0].inside[0].weight, 0) << "the first U is left out";
    EXPECT_GT(marks[1].inside[0].weight, 0);
    EXPECT_EQ(marks[2].weight, 0) << "beat 3 is passed";
    EXPECT_NEAR(marks[2].rings_after, 0.5, 1e-9);
    EXPECT_NEAR(marks[3].rings_after, 0, 1e-9);
}

TEST(StrokeMarks, AMutedStrokeIsStruckAndDoesNotRing)
{
    auto const marks = stroke_marks(part_of("4/4", R"("D D Dx Dx")").strokes);
    EXPECT_GT(marks[2].weight, 0);
    EXPECT_NEAR(marks[2].rings_after, 2, 1e-9) << "the next bar's first stroke";
}

TEST(StrokeMarks, OfAPartThatBeginsInsideABarAreItsOwn)
{
    ExpectedPart part = part_of("4/4", R"("D D - D")");
    part.first_in_bar = 1;
    auto const marks = stroke_marks(part.strokes);
    EXPECT_GT(marks_of(marks, part, 0).weight, 0);
    EXPECT_EQ(marks_of(marks, part, 1).weight, 0);
    EXPECT_GT(marks_of(marks, part, 2).weight, 0);
    EXPECT_FALSE(marks_of(stroke_marks({}), part, 5).known);
}

} // namespace
} // namespace tabard::pipeline
