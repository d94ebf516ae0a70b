#include "overlay/music/hand/hand.h"
#include "overlay/music/hand/movement.h"
#include "overlay/music/instrument.h"
#include "overlay/music/shapes/fingering.h"

#include <optional>
#include <string>
#include <utility>
#include <vector>

#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace tabard::overlay {
namespace {

using testing::ElementsAre;
using testing::IsEmpty;

// L - L / 2^(n/12) for a scale of 650 mm, computed with a pocket calculator's precision.
TEST(Hand, PutsFretsWhereEqualTemperamentWantsThem)
{
    for (auto const& [fret, mm] :
         {std::pair{1, 36.482}, {2, 70.916}, {3, 103.417}, {5, 163.050}, {7, 216.177}, {12, 325.000}, {24, 487.500}})
        EXPECT_NEAR(fret_position_mm(fret, 650), mm, 0.0005) << fret;
}

std::vector<std::string> faults(char const* frets, char const* fingers)
{
    auto const shape = *Shape::parse(frets, fingers);
    std::vector<std::string> said;
    for (auto const& fault : judge_hand(shape, Tuning{}, 648).faults)
        said.push_back(text_of(fault, shape));
    return said;
}

TEST(Hand, SaysWhatNoHandCanDo)
{
    EXPECT_THAT(faults("x32010", "-32-1-"), IsEmpty());
    EXPECT_THAT(faults("x32010", "132-1-"), ElementsAre("finger 1 is on string 6, which is muted"));
    EXPECT_THAT(faults("x32010", "-31-1-"), ElementsAre("finger 1 would be on two frets at once (string 2, fret 1)"));
    EXPECT_THAT(faults("x32010", "-3221-"), ElementsAre("finger 2 is on string 3, which is open"));
    EXPECT_THAT(faults("x32010", "-3--1-"), ElementsAre("no finger holds string 4 at fret 2"));
    EXPECT_THAT(faults("x32310", "-22-1-"), ElementsAre("no finger holds string 3 at fret 3",
                                                        "finger 2 would be on two frets at once (string 4, fret 2)"));
    EXPECT_THAT(faults("133011", "134-11"), ElementsAre("finger 1 lies over string 3, which is to sound open"));
    EXPECT_THAT(faults("123456", ""), ElementsAre("four fingers cannot hold these frets"));
}

TEST(Hand, MeasuresTheSpanOnTheNeckThatTheCapoLeaves)
{
    // Frets 1 to 3 at 648 mm: 648 * (2^(-1/12) - 2^(-3/12)) = 66.7; behind a capo at 5 they are 6 to 8: 50.0.
    auto const c = *Shape::parse("x32010");
    EXPECT_NEAR(judge_hand(c, Tuning{}, 648).span_mm, 66.7, 0.1);
    EXPECT_NEAR(judge_hand(c, Tuning{}, 648, 5).span_mm, 50.0, 0.1);
    EXPECT_NEAR(judge_hand(c, Tuning{}, 580).span_mm, 59.7, 0.1);
    EXPECT_EQ(judge_hand(c, Tuning{}, 648).reach, Reach::easy);
    EXPECT_EQ(judge_hand(*Shape::parse("xx1004"), Tuning{}, 648).reach, Reach::stretch);
    EXPECT_EQ(judge_hand(*Shape::parse("xx1006"), Tuning{}, 648).reach, Reach::impossible);
}

// How most players set their fingers (common practice, no published source).
TEST(Fingering, FollowsThePlayersHabit)
{
    for (auto const& [frets, fingers] : {std::pair{"x32010", "-32-1-"},
                                         {"320003", "21---3"},
                                         {"x02220", "--123-"},
                                         {"133211", "134211"},
                                         {"x24432", "-13421"},
                                         {"332010", "342-1-"},
                                         {"xx0232", "---132"},
                                         {"x21202", "-213-4"},
                                         {"x24442", "-12341"},
                                         {"x54555", "-21333"},
                                         {"x32310", "-3241-"},
                                         {"000000", "------"}}) {
        auto const shape = *Shape::parse(frets);
        EXPECT_EQ((Shape{shape.frets, assign_fingers(shape.frets)}.fingers_text()), fingers) << frets;
    }
}

TEST(Movement, TellsWhichFingersStaySlideAndLift)
{
    using Kind = FingerMove::Kind;
    auto const am = *Shape::parse("x02210", "--231-");
    auto const c = *Shape::parse("x32010", "-32-1-");
    EXPECT_THAT(moves_between(am, c),
                ElementsAre(FingerMove{1, Kind::stays}, FingerMove{2, Kind::stays}, FingerMove{3, Kind::moves}));
    EXPECT_THAT(strings_that_stay(am, c), ElementsAre(2, 4));
    auto const low = *Shape::parse("577xxx", "134---");
    auto const high = *Shape::parse("799xxx", "134---");
    EXPECT_THAT(moves_between(low, high),
                ElementsAre(FingerMove{1, Kind::slides}, FingerMove{3, Kind::slides}, FingerMove{4, Kind::slides}));
    auto const em = *Shape::parse("022000", "-12---");
    EXPECT_THAT(moves_between(c, em),
                ElementsAre(FingerMove{1, Kind::moves}, FingerMove{2, Kind::stays}, FingerMove{3, Kind::lifts}));
}

TEST(Movement, IsSaidInWords)
{
    auto const c = *Shape::parse("x32010", "-32-1-");
    EXPECT_EQ(moves_text(*Shape::parse("x02210", "--231-"), c), "fingers 1 and 2 stay");
    EXPECT_EQ(moves_text(*Shape::parse("577xxx", "134---"), *Shape::parse("799xxx", "134---")),
              "fingers 1, 3 and 4 slide");
    EXPECT_EQ(moves_text(*Shape::parse("xx0231", "---231"), *Shape::parse("xx0212", "---213")), "finger 2 stays");
    EXPECT_EQ(moves_text(c, *Shape::parse("xx0232", "---132")), "no finger stays");
}

TEST(Movement, FindsTheFingersThatHoldThroughAWholeSection)
{
    std::vector<Shape> const shapes{*Shape::parse("x32010", "-32-1-"), *Shape::parse("x02010", "--2-1-"),
                                    *Shape::parse("x02210", "--231-"), *Shape::parse("332010", "342-1-")};
    auto const anchor = anchor_of(shapes);
    EXPECT_THAT(anchor, ElementsAre(Hold{2, 2, 2}, Hold{1, 4, 1}));
    EXPECT_EQ(anchor_text(anchor, 6), "keep fingers 1 and 2 on strings 2 and 4 (frets 1 and 2)");
    EXPECT_THAT(anchor_of({shapes[0], shapes[0]}), IsEmpty());
    EXPECT_THAT(anchor_of({shapes[0], *Shape::parse("022100", "-231--")}), IsEmpty());
    EXPECT_EQ(anchor_text({}, 6), "");
    // "strings 1 and T" stood here: the fifth string is not the thumb, which is finger 5.
    EXPECT_EQ(anchor_text({{1, 1, 2}, {4, 5, 5}}, 6), "keep fingers 1 and 4 on strings 5 and 1 (frets 2 and 5)");
    EXPECT_EQ(anchor_text({{kThumb, 0, 1}}, 6), "keep finger T on string 6 (fret 1)");
}

// Open strings as players name them (common practice, no published source); numbers by npm tonal 6.4.2.
TEST(Instrument, KnowsHowItIsTuned)
{
    EXPECT_THAT(Instrument::named("ukulele")->tuning.open_strings, ElementsAre(67, 60, 64, 69));
    EXPECT_THAT(Instrument::named("mandolin")->tuning.open_strings, ElementsAre(55, 62, 69, 76));
    EXPECT_THAT(Instrument::named("bass")->tuning.open_strings, ElementsAre(28, 33, 38, 43));
    EXPECT_THAT(Instrument::named("7-string guitar")->tuning.open_strings, ElementsAre(35, 40, 45, 50, 55, 59, 64));
    EXPECT_THAT(Tuning::parse("DADGAD")->open_strings, ElementsAre(38, 45, 50, 55, 57, 62));
    EXPECT_THAT(Tuning::parse("drop d")->open_strings, ElementsAre(38, 45, 50, 55, 59, 64));
    EXPECT_THAT(Tuning::parse("open G")->open_strings, ElementsAre(38, 43, 50, 55, 59, 62));
    EXPECT_FALSE(Instrument::named("ukulele")->tuning.rises());
    EXPECT_THAT(Instrument::named("ukulel").error().what, testing::HasSubstr("did you mean \"ukulele\"?"));
    EXPECT_THAT(Instrument::named("bass")->tuned("DADGAD").error().what, testing::HasSubstr("a bass has 4 strings"));
}

TEST(Instrument, TheShortStringOfABanjoBeginsAtItsFifthFret)
{
    auto const banjo = Instrument::named("banjo")->tuning;
    EXPECT_EQ(banjo.pitch(0, 0), 67);
    EXPECT_EQ(banjo.pitch(0, 7), 69);
    EXPECT_EQ(banjo.pitch(0, 3), std::nullopt);
    EXPECT_EQ(banjo.pitch(1, 3), 53);
    EXPECT_EQ(banjo.pitch(0, 0, 2), 69); // its own capo sits two frets higher too
    auto const shape = *Shape::parse("30000");
    EXPECT_EQ(text_of(judge_hand(shape, banjo, 670).faults.at(0), shape), "string 5 begins above fret 3");
}

} // namespace
} // namespace tabard::overlay
