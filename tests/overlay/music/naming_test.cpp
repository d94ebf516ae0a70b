#include "overlay/music/shapes/chord_naming.h"

#include <algorithm>
#include <optional>
#include <string>
#include <utility>

#include <gtest/gtest.h>

namespace tabard::overlay {
namespace {

std::string best_name(char const* frets, char const* key = nullptr)
{
    auto const names =
        names_of(*Shape::parse(frets), Tuning{}, key != nullptr ? std::optional{*Key::parse(key)} : std::nullopt);
    return names.empty() ? "" : names.front().chord.text();
}

// Shapes that every player knows by name (common practice, no published source).
TEST(ChordNaming, NamesTheShapesThatPlayersKnow)
{
    for (auto const& [frets, name] : {std::pair{"x32010", "C"},
                                      {"x32030", "Cadd9"},
                                      {"x20003", "G/B"},
                                      {"x02010", "Am7"},
                                      {"xx3210", "Fmaj7"},
                                      {"200232", "D/F#"},
                                      {"x02200", "Asus2"},
                                      {"022100", "E"},
                                      {"x21202", "B7"},
                                      {"133211", "F"},
                                      {"xx0212", "D7"},
                                      {"x7678x", "E7#9"},
                                      {"355xxx", "G5"},
                                      {"3x0003", "G"},
                                      {"x13331", "Bb"},
                                      {"244222", "F#m"}})
        EXPECT_EQ(best_name(frets), name) << frets;
}

TEST(ChordNaming, SpellsForTheKey)
{
    EXPECT_EQ(best_name("x46664"), "Db");
    EXPECT_EQ(best_name("x46664", "F#"), "C#");
    EXPECT_EQ(best_name("x68886", "Db"), "Eb");
    EXPECT_EQ(best_name("x68886", "B"), "D#");
}

TEST(ChordNaming, GivesTheOtherNamesOfTheSameNotesAndTheReason)
{
    // C6 and Am7 have the same notes.
    auto const names = names_of(*Shape::parse("x02010"), Tuning{});
    EXPECT_EQ(names[0].reason, "all its notes, root in the bass");
    EXPECT_TRUE(std::ranges::any_of(names, [](auto const& name) {
        return name.chord.text() == "C6/A" && name.reason == "all its notes, an inversion";
    }));
    EXPECT_TRUE(names_of(*Shape::parse("xxx0xx"), Tuning{}).empty());
}

} // namespace
} // namespace tabard::overlay
