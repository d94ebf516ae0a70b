#include "pipeline/cues/reader.h"
#include "pipeline/cues/starter.h"
#include "pipeline/cues/writer.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace tabard::pipeline {
namespace {

LessonReading read_back(Starter const& starter)
{
    return parse_lesson(document_text(starter_document(starter)), "lesson.json");
}

TEST(StarterCueFile, IsValidAsItStandsAndCoversTheFilm)
{
    LessonReading const reading =
        read_back({"Take \"3\"", "take 3.mov", from_frame(1001, {30000, 1001}), {30000, 1001}, "", {}});
    EXPECT_THAT(reading.findings, testing::IsEmpty());
    ASSERT_TRUE(reading.usable());
    EXPECT_EQ(*reading.lesson->title, "Take \"3\"");
    ASSERT_EQ(reading.lesson->sections.size(), 1U);
    EXPECT_EQ(**reading.lesson->sections[0].to, from_frame(1001, {30000, 1001}));
    EXPECT_EQ(**reading.lesson->footage_facts->duration, from_frame(1001, {30000, 1001}));
    EXPECT_EQ(**reading.lesson->footage_facts->rate, (FrameRate{30000, 1001}));
}

TEST(StarterCueFile, HoldsTheProposedPartsWithTheirTempo)
{
    using namespace std::chrono_literals;
    LessonReading const reading =
        read_back({"x",
                   "x.mp4",
                   Time{60s},
                   {25, 1},
                   "",
                   {{"Talk", 0s, 20s, {}, false}, {"Played", 20s, 60s, Tempo{75'600}, true}}});
    EXPECT_THAT(reading.findings, testing::IsEmpty());
    ASSERT_EQ(reading.lesson->sections.size(), 2U);
    EXPECT_EQ((**reading.lesson->sections[1].tempo).thousandths, 76'000); // 75.6 to the nearest whole pulse
}

} // namespace
} // namespace tabard::pipeline
