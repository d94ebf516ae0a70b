#include "overlay/music/names/chord_name.h"

#include <string>
#include <string_view>

#include <gtest/gtest.h>

namespace tabard::overlay {
namespace {

std::string notes_text(std::string_view name)
{
    auto const chord = ChordName::parse(name);
    if (!chord)
        return chord.error().what;
    std::string text;
    for (auto const note : chord->notes())
        text += (text.empty() ? "" : " ") + note.text();
    return text;
}

struct Spelled {
    char const* name;
    char const* notes;
};

// Contents and spelling: npm tonal 6.4.2, Chord.get(name).notes (enharmonic letters counted from the root).
constexpr Spelled kSpelled[] = {
    {"C", "C E G"},           {"Cm", "C Eb G"},        {"C7", "C E G Bb"},     {"Cmaj7", "C E G B"},
    {"Cm7", "C Eb G Bb"},     {"CmMaj7", "C Eb G B"},  {"Csus2", "C D G"},     {"Csus4", "C F G"},
    {"C7sus4", "C F G Bb"},   {"Cadd9", "C E G D"},    {"C6", "C E G A"},      {"C6/9", "C E G A D"},
    {"Cdim7", "C Eb Gb Bbb"}, {"Cm7b5", "C Eb Gb Bb"}, {"Caug", "C E G#"},     {"C7#9", "C E G Bb D#"},
    {"E7#9", "E G# B D F##"}, {"F#m7b5", "F# A C E"},  {"Bb9", "Bb D F Ab C"}, {"C5", "C G"},
};

TEST(ChordName, SpellsItsNotesByCountingLettersFromTheRoot)
{
    for (auto const& c : kSpelled)
        EXPECT_EQ(notes_text(c.name), c.notes) << c.name;
}

struct Spelling {
    char const* written;
    char const* normal;
};

// Spellings of one chord that players use side by side (common practice, no published source).
constexpr Spelling kSpellings[] = {
    {"CM7", "Cmaj7"},
    {"C△7", "Cmaj7"},
    {"C△", "Cmaj7"},
    {"CMaj7", "Cmaj7"},
    {"Cmin7", "Cm7"},
    {"C-7", "Cm7"},
    {"Cø", "Cm7b5"},
    {"Cø7", "Cm7b5"},
    {"C-7b5", "Cm7b5"},
    {"Cm7(b5)", "Cm7b5"},
    {"Co", "Cdim"},
    {"C°7", "Cdim7"},
    {"C+", "Caug"},
    {"C+7", "C7#5"},
    {"C7+5", "C7#5"},
    {"C7-9", "C7b9"},
    {"Csus", "Csus4"},
    {"C69", "C6/9"},
    {"C7sus", "C7sus4"},
    {"C7(9)", "C9"},
    {"C♯m7♭5", "C#m7b5"},
    {"Cm(maj7)", "CmMaj7"},
    {"CmM7", "CmMaj7"},
    {"C-△7", "CmMaj7"},
    {"D/F♯", "D/F#"},
    {"C7(b9,#11)", "C7b9#11"},
    {"C7(b9 b13)", "C7b9b13"},
    {"Cmadd9", "Cmadd9"},
    {"C(add9)", "Cadd9"},
    {"Cno3", "C5"},
    {"Cadd2", "Cadd2"},
    {"NC", "N.C."},
    {"C6/9/E", "C6/9/E"},
    {"Abb5", "Ab(b5)"},
    {"C(b5)", "C(b5)"},
    {"Cdim(maj7)", "CmMaj7b5"},
    {"C7alt", "C7alt"},
    {"Calt", "C7alt"},
    {"C7#5#9", "C7#5#9"},
    {"Comit5", "Cno5"},
    {"C13sus4", "C13sus4"},
    {"Cmaj13#11", "Cmaj13#11"},
    {"Caug7", "C7#5"},
    {"Cdom7", "C7"},
    {"C7add13", "C7add13"},
};

TEST(ChordName, ReadsTheUsualSpellingsAsOneChordAndPrintsOneNormalForm)
{
    for (auto const& c : kSpellings) {
        auto const chord = ChordName::parse(c.written);
        ASSERT_TRUE(chord) << chord.error().what;
        EXPECT_EQ(chord->text(), c.normal) << c.written;
    }
}

TEST(ChordName, IsSetInTypeWithRealSignsAndARaisedExtension)
{
    EXPECT_EQ(label_of("F#m7b5/E"), (ChordLabel{"F♯m", "7♭5", "E"}));
    EXPECT_EQ(label_of("Bbmaj7"), (ChordLabel{"B♭", "maj7", ""}));
    EXPECT_EQ(label_of("D/F#"), (ChordLabel{"D", "", "F♯"}));
    EXPECT_EQ(label_of("N.C."), (ChordLabel{"N.C.", "", ""}));
    EXPECT_EQ(label_of("easy F"), (ChordLabel{"easy F", "", ""}));
}

struct Refused {
    char const* text;
    char const* message;
};

constexpr Refused kRefused[] = {
    {"Cmin6x", "chord name \"Cmin6x\": \"x\" at position 6 is not understood; did you mean \"Cm6\"?"},
    {"Cmja7", "chord name \"Cmja7\": \"ja7\" at position 3 is not understood; did you mean \"Cmaj7\"?"},
    {"am7", "chord name \"am7\": \"am7\" at position 1 is not understood; did you mean \"Am7\"?"},
    {"C2", "chord name \"C2\": \"2\" at position 2 is not understood; \"C2\" is read in two ways: write \"Csus2\" or "
           "\"Cadd2\""},
    {"D/X", "chord name \"D/X\": \"/X\" at position 2 is not understood; did you mean \"D\"?"},
    {"C96/9", "chord name \"C96/9\": \"6/9\" at position 3 is not understood; did you mean \"C6/9\"?"},
    {"", "chord name \"\" ends too early; a chord name begins with a capital letter A to G"},
};

TEST(ChordName, PointsAtTheCharacterItDoesNotUnderstandAndSuggestsTheNearestName)
{
    for (auto const& c : kRefused) {
        auto const chord = ChordName::parse(c.text);
        ASSERT_FALSE(chord) << c.text;
        EXPECT_EQ(chord.error().what, c.message);
    }
}

} // namespace
} // namespace tabard::overlay
