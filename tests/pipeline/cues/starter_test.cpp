#include "pipeline/cues/reader.h"
#include "pipeline/cues/starter.h"
#include "pipeline/cues/writer.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace tabard::pipeline {
namespace {

LessonReading read_back(Starter const& starter)
{
    return parse_lesson(document_text(starter_document(starter).value()), "lesson.json");
}

TEST(StarterCueFile, IsValidAsItStandsAndCoversTheFilm)
{
    LessonReading const reading =
        read_back({"Take \"3\"", "take 3.mov", from_frame(1001, {30000, 1001}), {30000, 1001}, "", {}});
    EXPECT_THAT(reading.findings, testing::IsEmpty());
    ASSERT_TRUE(reading.usable());
    EXPECT_EQ(*reading.lesson->title, "Take \"3\"");
    ASSERT_EQ(reading.lesson->sections.size(), 1U);
    EXPECT_FALSE(reading.lesson->sections[0].to); // it lasts as long as the film
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

TEST(StarterCueFile, BeginsWithTheFirstPicture)
{
    using namespace std::chrono_literals;
    LessonReading const reading = read_back({"x", "x.mp4", Time{60s}, {25, 1}, "", {}, Time{3s}});
    EXPECT_THAT(reading.findings, testing::IsEmpty());
    EXPECT_EQ(**reading.lesson->sections[0].from, Time{3s});
}

// A film of one picture of a ninety-thousandth second, as some containers count.
TEST(StarterCueFile, LeavesOutARateThatNoCueFileMayHave)
{
    using namespace std::chrono_literals;
    LessonReading const reading = read_back({"x", "x.mp4", Time{1s}, {90000, 1}, "", {}});
    EXPECT_THAT(reading.findings, testing::IsEmpty());
    EXPECT_FALSE(reading.lesson->footage_facts->rate);
}

TEST(StarterCueFile, HasATitleOfOneLineWithoutControlCharacters)
{
    EXPECT_EQ(starter_title("  Lantern on\nthe Quay\033\t "), "Lantern on the Quay");
    EXPECT_EQ(starter_title("caf\351"), "caf\357\277\275"); // U+FFFD
    EXPECT_EQ(starter_title("\001 \177"), "");
    // Three bytes a character and three for the ellipsis: 65 of them fit into 200 bytes.
    std::string sharps;
    for (int i = 0; i < 40'000; ++i)
        sharps += "\342\231\257";
    EXPECT_EQ(starter_title(sharps), sharps.substr(0, 195) + "\u2026");
}

TEST(StarterCueFile, RefusesANameOfTheFilmThatItCannotHold)
{
    using namespace std::chrono_literals;
    for (std::string const name : {"caf\351.mp4", "bell\007.mp4", "next\302\205line.mp4"}) {
        auto const document = starter_document({"x", name, Time{1s}, {25, 1}, "", {}});
        ASSERT_FALSE(document) << name;
        EXPECT_EQ(document.error().kind, ErrorKind::invalid_input);
    }
    EXPECT_FALSE(starter_document({"x", std::string(2'001, 'x'), Time{1s}, {25, 1}, "", {}}));
    EXPECT_TRUE(starter_document({"x", std::string(2'000, 'x'), Time{1s}, {25, 1}, "", {}}));
}

} // namespace
} // namespace tabard::pipeline
