#include "pipeline/publish/lesson_words.h"
#include "pipeline/publish/sheet_builder.h"
#include "tests/pipeline/publish/lessons.h"

#include <string>
#include <vector>

#include <fmt/format.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace tabard::pipeline {
namespace {

using testing::ElementsAre;

TEST(SheetBuilder, ListsEveryChordOnceInOrderOfAppearance)
{
    std::vector<std::string> names;
    for (auto const& chord : build_sheet(lessons::lesson(lessons::kUsual)).chords)
        names.push_back(chord.label.base + chord.label.raised);
    EXPECT_THAT(names, ElementsAre("C", "F", "G", "Am7"));
}

TEST(SheetBuilder, PutsLevelsSideBySideOrKeepsTheOneAskedFor)
{
    auto const lesson = lessons::lesson(lessons::kUsual);
    auto const both = build_sheet(lesson).chords[1].shapes;
    ASSERT_EQ(both.size(), 2u);
    auto const easy = build_sheet(lesson, Level::easy).chords[1].shapes;
    ASSERT_EQ(easy.size(), 1u);
    EXPECT_EQ(easy[0].shape.frets_text(), "xx3211");
    EXPECT_EQ(easy[0].level, "");
}

TEST(SheetBuilder, PrintsAPartThatComesBackOnceAndRefersToIt)
{
    auto const model = build_sheet(lessons::lesson(lessons::kUsual));
    ASSERT_EQ(model.parts.size(), 3u); // the talk is none
    EXPECT_EQ(model.parts[0].name, "Verse 1");
    EXPECT_EQ(model.parts[0].bars.size(), 4u);
    EXPECT_EQ(model.parts[2].name, "Verse 2");
    EXPECT_EQ(model.parts[2].same_as, "Verse 1");
    EXPECT_TRUE(model.parts[2].bars.empty());
}

// A repeat written out is the same music; what is played faster, or strummed otherwise, is said beside it.
TEST(SheetBuilder, RefersToAPartThatComesBackFasterOrWithAnotherHand)
{
    auto const model = build_sheet(lessons::lesson(
        R"({"name": "Chorus, slowly", "from": 2, "strum": "slow", "tempo": 60, "bars": "|: C | F :| x2"},
           {"name": "Chorus", "from": 20, "tempo": 120, "bars": "C | F | C | F"},
           {"name": "Verse", "from": 30, "tempo": 120, "bars": "G | C"},
           {"name": "Chorus", "from": 36, "tempo": 120, "strum": "slow", "bars": "C | F | % | %"},
           {"name": "Chorus", "from": 45, "strum": "slow", "tempo": 60.4, "bars": "|: C | F :|"},
           {"name": "Chorus", "from": 55, "strum": "slow", "tempo": 60, "bars": "C | F | C | F"})"));
    std::vector<std::string> lines;
    for (auto const& part : model.parts)
        lines.push_back(fmt::format("{} = {}, {}, {} bars", part.name, part.same_as, part.tempo, part.bars.size()));
    EXPECT_THAT(lines, ElementsAre("Chorus, slowly = , , 2 bars", "Chorus = Chorus, slowly, 120 beats a minute, 0 bars",
                                   "Verse = , 120 beats a minute, 2 bars",
                                   "Chorus = , 120 beats a minute, 4 bars", // its last bars are F
                                   "Chorus = Chorus, slowly, , 0 bars"));
    EXPECT_EQ(model.parts[1].strum, "");
    EXPECT_EQ(model.order, "In order: Chorus, slowly, Chorus, Verse, Chorus, Chorus, Chorus.");
}

TEST(SheetBuilder, SaysTemposInWholeNumbers)
{
    EXPECT_EQ(tempo_words({71'500}), "72 beats a minute");
    auto const model = build_sheet(lessons::lesson(R"({"name": "Verse", "from": 2, "tempo": 92.7, "bars": "C"},
                           {"name": "Bridge", "from": 30, "tempo": 60.4, "bars": "G"})"));
    EXPECT_EQ(model.tempo, "60 beats a minute");
    EXPECT_EQ(model.parts[0].tempo, "93 beats a minute");
    EXPECT_EQ(model.parts[1].tempo, "") << "as the song, to a whole number";
}

TEST(SheetBuilder, SaysTheGroupsOfAMeterAsWritten)
{
    auto const lesson = lessons::lesson(R"({"name": "Verse", "from": 2, "bars": "C"},
                           {"name": "Bridge", "from": 30, "meter": "2 + 2 + 3 / 8", "bars": "G"})");
    auto const model = build_sheet(lesson);
    EXPECT_EQ(model.meter, "4/4");
    EXPECT_EQ(model.parts[1].meter.text(), "2+2+3/8");
}

// C x32010, Am7 x02010 and Fmaj7 xx3210 all have the index on the first fret of string 2; C and Am7 share the middle
// finger too. What was said of the whole part is not said again of two of its chords.
TEST(SheetBuilder, SaysWhichFingersStayThroughAPartAndBetweenTwoChords)
{
    auto const model =
        build_sheet(lessons::lesson(R"({"name": "Verse", "from": 2, "bars": "C | Am7 | N.C. | Fmaj7"})"));
    EXPECT_THAT(model.anchors,
                ElementsAre("Verse: keep finger 1 on string 2 (fret 1) from the first chord to the last.",
                            "Between C and Am7: keep fingers 1 and 2 on strings 2 and 4 (frets 1 and 2)."));
}

TEST(SheetBuilder, WritesRepeatsAndSimilesAsMusiciansDo)
{
    auto const model = build_sheet(lessons::lesson(lessons::kUsual));
    EXPECT_TRUE(model.parts[0].bars[3].simile);
    EXPECT_EQ(model.parts[0].bars[1].chords[0].beats, 2); // F / G / in 4/4
    ASSERT_EQ(model.parts[1].bars.size(), 2u);            // not the four that are played
    EXPECT_TRUE(model.parts[1].bars[0].opens_repeat);
    EXPECT_EQ(model.parts[1].bars[1].closes_repeat, 2);
}

TEST(SheetBuilder, SaysWhatTheChordsAreWithoutTheCapo)
{
    // Four half-steps up, spelled in E: C E, F A, G B, Am7 C#m7 (interval arithmetic).
    auto const model = build_sheet(lessons::lesson(lessons::kUsual));
    std::vector<std::string> sounds;
    for (auto const& pair : model.soundings)
        sounds.push_back(pair.sounds.base + pair.sounds.raised);
    EXPECT_THAT(sounds, ElementsAre("E", "A", "B", "C\u266Fm7"));
    EXPECT_EQ(model.shapes_key, "C");
    EXPECT_EQ(model.sounding_key, "E");
    EXPECT_TRUE(build_sheet(lessons::lesson(lessons::kUsual, R"("key": "C")")).soundings.empty());
}

TEST(SheetBuilder, NamesATuningOnlyWhereItIsNotTheUsualOne)
{
    EXPECT_EQ(build_sheet(lessons::lesson(lessons::kUsual)).tuning, "");
    auto const drop = lessons::lesson(lessons::kUsual, R"("tuning": "D2 A2 D3 G3 B3 E4")");
    EXPECT_EQ(build_sheet(drop).tuning, "D2 A2 D3 G3 B3 E4");
}

TEST(SheetBuilder, KeepsTheOrderOfPartsWhereOneIsNotPrintedAgain)
{
    std::string const back = fmt::format( // g++ 12 warns wrongly of a literal added to this string
        R"({}, {{"name": "Chorus", "from": 60, "bars": "|: F | C :| x2", "words": ["One | two"]}})", lessons::kUsual);
    auto const model = build_sheet(lessons::lesson(back));
    EXPECT_EQ(model.parts.size(), 3u);
    EXPECT_EQ(model.order, "In order: Verse 1, Chorus, Verse 2, Chorus.");
}

} // namespace
} // namespace tabard::pipeline
