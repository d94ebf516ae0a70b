#include "overlay/music/capo.h"
#include "overlay/music/shape.h"
#include "overlay/music/shape_search.h"

#include <gtest/gtest.h>

namespace tabard::overlay {
namespace {

using testing::ElementsAre;

TEST(Shape, ReadsOneSignAStringOrFretsBetweenDashes)
{
    EXPECT_THAT(Shape::parse("x32033")->frets, ElementsAre(kMuted, 3, 2, 0, 3, 3));
    EXPECT_THAT(Shape::parse("x-10-12-12-12-10")->frets, ElementsAre(kMuted, 10, 12, 12, 12, 10));
    EXPECT_THAT(Shape::parse("x32010", "-32-1-")->fingers, ElementsAre(0, 3, 2, 0, 1, 0));
    EXPECT_EQ(Shape::parse("x-10-12-12-12-10")->frets_text(), "x-10-12-12-12-10");
    EXPECT_EQ(Shape::parse("200233", "T--123")->fingers_text(), "T--123");
}

TEST(Shape, SaysWhichSignIsWrong)
{
    EXPECT_EQ(Shape::parse("x3q033").error().what,
              "frets \"x3q033\": position 3 should be x (muted), 0 (open) or a fret up to 36");
    EXPECT_EQ(Shape::parse("x-3-99-0").error().what,
              "frets \"x-3-99-0\": position 5 should be x (muted), 0 (open) or a fret up to 36");
    EXPECT_EQ(Shape::parse("x32010", "-32-1").error().what,
              "fingers \"-32-1\" are for 5 strings, but frets \"x32010\" are for 6");
    EXPECT_EQ(Shape::parse("x32010", "-32-5-").error().what,
              "fingers \"-32-5-\": position 5 should be 1 to 4, T (thumb) or - (no finger)");
}

TEST(Shape, FindsTheBarreOfAnFUnderTheIndex)
{
    EXPECT_THAT(Shape::parse("133211", "134211")->barres(), ElementsAre(Barre{1, 1, 0, 5}));
    EXPECT_THAT(Shape::parse("x32010", "-32-1-")->barres(), ElementsAre());
}

// Sounding MIDI of open shapes: their frets on standard tuning 40 45 50 55 59 64 (npm tonal 6.4.2), added by hand.
TEST(Capo, RaisesWhatSoundsAndNotTheDiagram)
{
    auto const c = *Shape::parse("x32010");
    EXPECT_THAT(sounding_pitches(c, Tuning{}, 0), ElementsAre(std::nullopt, 48, 52, 55, 60, 64));
    EXPECT_THAT(sounding_pitches(c, Tuning{}, 4), ElementsAre(std::nullopt, 52, 56, 59, 64, 68));
}

TEST(ShapeSearch, OffersTheFirstPositionShapeOfTheOpenChords)
{
    // The open shapes of every beginner's book (common practice, no published source).
    for (auto const& [name, frets] : {std::pair{"C", "x32010"},
                                      {"G", "320003"},
                                      {"Am", "x02210"},
                                      {"Em", "022000"},
                                      {"D", "xx0232"},
                                      {"E", "022100"},
                                      {"A", "x02220"},
                                      {"Dm", "xx0231"}})
        EXPECT_EQ(default_shape(*ChordName::parse(name), Tuning{})->frets_text(), frets) << name;
}

} // namespace
} // namespace tabard::overlay
