#include "overlay/music/shapes/shape_search.h"
#include "pipeline/cues/reader.h"
#include "pipeline/timeline/lesson_shapes.h"
#include "pipeline/timeline/timeline.h"

#include <string>
#include <string_view>
#include <vector>

#include <fmt/format.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace tabard::pipeline {
namespace {

using testing::ElementsAre;
using testing::IsEmpty;

constexpr std::string_view kAnchored =
    R"({"name": "Verse", "from": "0:10", "tempo": 60, "bars": "G | Cadd9 | Em7 | Dsus4"})";

Lesson lesson_with(std::string_view sections, std::string_view more = "")
{
    auto const reading = parse_lesson(
        fmt::format(R"({{"tabard": 1, "title": "Lantern", "footage": "f.mp4", {} "sections": [{}]}})", more, sections),
        "cues.json");
    for (Finding const& finding : reading.findings)
        ADD_FAILURE() << finding.what;
    return reading.lesson.value_or(Lesson{});
}

std::vector<std::string> frets(Lesson const& lesson, std::vector<std::string> const& names, Level level = Level::full)
{
    LessonShapes shapes(lesson);
    std::vector<std::string> all;
    for (auto const& name : names)
        all.push_back(shapes.at(name, level) ? shapes.at(name, level)->frets_text() : "none");
    return all;
}

std::vector<std::string> const kNames{"G", "Cadd9", "Em7", "Dsus4"};

// 3 and 4 stay on the two highest strings: every player's way for these four (common practice).
TEST(LessonShapes, AreChosenTogetherSoThatFingersStayAndSayWhy)
{
    auto const lesson = lesson_with(kAnchored);
    EXPECT_THAT(frets(lesson, kNames), ElementsAre("320033", "x32033", "020033", "xx0233"));
    LessonShapes const shapes(lesson);
    ASSERT_EQ(shapes.in_context().size(), 4U);
    auto const& first = shapes.in_context().front();
    EXPECT_EQ(first.name, "G");
    EXPECT_EQ(first.alone, *overlay::default_shape(*overlay::ChordName::parse("G"), overlay::Tuning{}));
    EXPECT_THAT(first.reason, testing::StartsWith("fingers 3 and 4 stay between G and "));
}

TEST(LessonShapes, OfABeginnersSongAreThoseOfTheChordsAlone)
{
    auto const lesson = lesson_with(R"({"name": "Verse", "from": "0:10", "tempo": 60, "bars": "C | G | Am | F"})");
    EXPECT_THAT(frets(lesson, {"C", "G", "Am", "F"}), ElementsAre("x32010", "320003", "x02210", "133211"));
    EXPECT_THAT(LessonShapes(lesson).in_context(), IsEmpty());
}

TEST(LessonShapes, KeepWhatTheAuthorGaveAndChooseTheOthersBesideIt)
{
    auto const lesson = lesson_with(kAnchored, R"("shapes": {"G": "320003"},)");
    EXPECT_EQ(frets(lesson, {"G"}).front(), "320003");
    // With another G fixed the two fingers cannot stay throughout.
    EXPECT_NE(frets(lesson, kNames), (std::vector<std::string>{"320003", "x32033", "020033", "xx0233"}));
    LessonShapes const shapes(lesson);
    for (auto const& one : shapes.in_context())
        EXPECT_NE(one.name, "G");
    auto const all = lesson_with(kAnchored, R"("shapes": {"G": "3x0003", "Cadd9": "x3x030", "Em7": "0x0000",
                                            "Dsus4": "xx0033"},)");
    EXPECT_THAT(frets(all, kNames), ElementsAre("3x0003", "x3x030", "0x0000", "xx0033"));
    EXPECT_THAT(LessonShapes(all).in_context(), IsEmpty());
}

TEST(LessonShapes, GiveAChordOneShapeInEveryPartAndAtEveryLevelHoweverItIsSpelled)
{
    auto const lesson = lesson_with(std::string(kAnchored) +
                                        R"(, {"name": "Talk", "from": "0:30", "show": [{"chord": "G", "from": "0:31"}]},
            {"name": "Chorus", "from": "0:40", "tempo": 60, "bars": "G | C | F | G | GM | Cadd9"})",
                                    R"("shapes": {"F": {"easy": "xx3211", "full": "133211"}},)");
    auto const full = frets(lesson, {"G", "Cadd9", "C", "GM"});
    EXPECT_EQ(frets(lesson, {"G", "Cadd9", "C", "GM"}, Level::easy), full);
    EXPECT_EQ(full.front(), full.back());
    EXPECT_EQ(frets(lesson, {"F"}, Level::easy).front(), "xx3211");
    for (Level const level : {Level::full, Level::easy}) {
        auto const timeline = Timeline::resolve(lesson, {Time{0}, from_ticks(100, 1, 1), {25, 1}}, {level});
        for (ChordSpan const& span : timeline.chords())
            EXPECT_EQ(span.shape, LessonShapes(lesson).at(span.name, level)) << span.name;
    }
}

TEST(LessonShapes, AreTheSameWhereAPartComesBackOrACutHasBrokenIt)
{
    std::string const other = R"(, {"name": "End", "from": "1:00", "tempo": 60, "bars": "Em7 | D | A7sus4 | D"})";
    auto names = kNames;
    names.insert(names.end(), {"D", "A7sus4"});
    auto const once = frets(lesson_with(std::string(kAnchored) + other), names);
    std::string more(kAnchored);
    for (int i = 0; i < 3; ++i)
        more += fmt::format(R"(, {{"as": "Verse", "from": "0:{}"}})", 20 + i);
    EXPECT_EQ(frets(lesson_with(more + other), names), once);
    EXPECT_EQ(frets(lesson_with(R"({"name": "Verse", "from": "0:10", "tempo": 60, "to": "0:12",
        "bars": "G | Cadd9 | Em7 | Dsus4", "piece": {"number": 1, "from_bar": "1.1"}},
        {"name": "Verse", "from": "0:13", "tempo": 60, "bars": "G | Cadd9 | Em7 | Dsus4",
         "piece": {"number": 2, "from_bar": "3.1"}})" +
                                other),
                    names),
              once);
}

TEST(LessonShapes, ThinkOfTheRoomThatACapoLeavesOnTheNeck)
{
    // Eb as 11-13-13-12-11-11 needs fret 13; behind a capo on 7 the last of twelve frets is 5.
    auto const lesson =
        lesson_with(R"({"name": "Verse", "from": "0:10", "tempo": 60, "bars": "Eb | Ab | Bb | Cm"})", R"("capo": 7,)");
    LessonShapes shapes(lesson);
    for (auto const* name : {"Eb", "Ab", "Bb", "Cm"}) {
        int lowest = 99;
        for (int const fret : shapes.at(name, Level::full)->frets)
            lowest = fret > 0 ? std::min(lowest, fret) : lowest;
        EXPECT_LE(lowest, 5) << name;
    }
}

TEST(LessonShapes, HaveNoneForANameThatIsNoChord)
{
    auto const lesson = lesson_with(R"({"name": "Verse", "from": "0:10", "tempo": 60, "bars": "G | N.C. | Cadd9"})");
    EXPECT_THAT(frets(lesson, {"", "N.C.", "Zog"}), ElementsAre("none", "none", "none"));
}

} // namespace
} // namespace tabard::pipeline
