#include "overlay/music/shapes/shape.h"
#include "overlay/music/shapes/shape_search.h"
#include "overlay/music/shapes/sounding.h"

#include <algorithm>
#include <optional>
#include <utility>
#include <vector>

#include <fmt/format.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace tabard::overlay {
namespace {

using testing::ElementsAre;

std::vector<int> sounding(Shape const& shape)
{
    std::vector<int> notes;
    for (auto const pitch : sounding_pitches(shape, Tuning{}, 0))
        if (pitch)
            notes.push_back(*pitch);
    return notes;
}

TEST(Shape, ReadsOneSignAStringOrFretsBetweenDashes)
{
    EXPECT_THAT(Shape::parse("x24432")->frets, ElementsAre(kMuted, 2, 4, 4, 3, 2));
    EXPECT_THAT(Shape::parse("x-10-12-12-12-10")->frets, ElementsAre(kMuted, 10, 12, 12, 12, 10));
    EXPECT_THAT(Shape::parse("x32010", "-32-1-")->fingers, ElementsAre(0, 3, 2, 0, 1, 0));
    EXPECT_EQ(Shape::parse("x-10-12-12-12-10")->frets_text(), "x-10-12-12-12-10");
    EXPECT_EQ(Shape::parse("200233", "T--123")->fingers_text(), "T--123");
}

TEST(Shape, SaysWhichSignIsWrong)
{
    EXPECT_EQ(Shape::parse("x2q432").error().what,
              "frets \"x2q432\": position 3 should be x (muted), 0 (open) or a fret up to 36");
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

TEST(ShapeSearch, OffersTheFirstShapesOfTheUkulele)
{
    auto const ukulele =
        *Tuning::parse("G4 C4 E4 A4"); // its beginner's shapes are common practice, no published source
    for (auto const& [name, frets] : {std::pair{"C", "0003"},
                                      {"F", "2010"},
                                      {"Am", "2000"},
                                      {"G7", "0212"},
                                      {"G", "0232"},
                                      {"C7", "0001"},
                                      {"Dm", "2210"}})
        EXPECT_EQ(default_shape(*ChordName::parse(name), ukulele)->frets_text(), frets) << name;
}

TEST(ShapeSearch, ExplainsItsShapesAndGoesUpTheNeck)
{
    auto const found = find_shapes(*ChordName::parse("C"), Tuning{}, 3);
    EXPECT_EQ(found[0].reason, "open position, 3 fingers");
    EXPECT_EQ(found[1].reason, "fret 3, 4 fingers, barre");
    EXPECT_EQ(find_shapes(*ChordName::parse("F"), Tuning{}, 1)[0].reason, "first position, 4 fingers, barre");
    EXPECT_TRUE(find_shapes(*ChordName::parse("N.C."), Tuning{}).empty());
}

TEST(ShapeSearch, KeepsANamedBassLowestAndASharpNinthAboveTheThird)
{
    auto const with_bass = find_shapes(*ChordName::parse("D/F#"), Tuning{});
    auto const with_ninth = find_shapes(*ChordName::parse("E7#9"), Tuning{});
    EXPECT_FALSE(with_bass.empty());
    EXPECT_FALSE(with_ninth.empty());
    for (auto const& found : with_bass)
        EXPECT_EQ(mod(std::ranges::min(sounding(found.shape)), 12), 6) << found.shape.frets_text(); // F sharp
    for (auto const& found : with_ninth) {
        auto const notes = sounding(found.shape);
        auto const of = [&](int pitch_class) {
            return std::ranges::find(notes, pitch_class, [](int midi) { return mod(midi, 12); });
        };
        EXPECT_LT(of(8), of(7)) << found.shape.frets_text(); // G sharp before G
    }
}

TEST(ShapeSearch, FindsAShapeForEveryFamilyOfChords)
{
    for (auto const* name : {"C", "F#m7b5", "Bb13", "D/F#", "Cadd9", "C7alt", "Gm11", "Ebmaj13", "A7sus4", "C5"})
        EXPECT_FALSE(find_shapes(*ChordName::parse(name), Tuning{}).empty()) << name;
}

} // namespace
} // namespace tabard::overlay
