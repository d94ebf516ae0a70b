#include "overlay/music/annotations/chord_annotation.h"
#include "overlay/music/annotations/nameable_chord.h"

#include <set>
#include <string>

#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

namespace tabard::overlay {
namespace {

using testing::HasSubstr;
using Kind = ChordAnnotation::Kind;

/// The name, with "~" before one that is only the nearest; or where and why it is none.
std::string name_of(std::string_view label)
{
    auto const read = parse_chord_annotation(label);
    if (!read)
        return std::to_string(read.error().at) + ": " + read.error().what;
    if (read->kind != Kind::chord)
        return read->kind == Kind::none ? "none" : "unknown";
    return (read->exact ? "" : "~") + read->chord.text();
}

// Harte et al., ISMIR 2005: the syntax of section 4 and the shorthands of table 1; the names beside them by hand.
TEST(ChordAnnotation, ReadsTheShorthandsOfThePaper)
{
    struct Case {
        char const* label;
        char const* name;
    };
    for (Case const& c : {Case{"C", "C"}, Case{"C:maj", "C"}, Case{"A:min", "Am"}, Case{"B:dim", "Bdim"},
                          Case{"C:aug", "Caug"}, Case{"F:maj7", "Fmaj7"}, Case{"A:min7", "Am7"}, Case{"G:7", "G7"},
                          Case{"B:dim7", "Bdim7"}, Case{"F#:hdim7", "F#m7b5"}, Case{"A:minmaj7", "AmMaj7"},
                          Case{"C:maj6", "C6"}, Case{"D:min6", "Dm6"}, Case{"G:9", "G9"}, Case{"Bb:maj9", "Bbmaj9"},
                          Case{"D:min9", "Dm9"}, Case{"A:sus4", "Asus4"}, Case{"N", "none"}, Case{"X", "unknown"}})
        EXPECT_EQ(name_of(c.label), c.name) << c.label;
}

TEST(ChordAnnotation, ReadsDegreesThatAreAddedAndLeftOut)
{
    struct Case {
        char const* label;
        char const* name; ///< by its tones, from the root
    };
    for (Case const& c :
         {Case{"D:(1,5)", "D5"}, Case{"D:(5)", "D5"}, Case{"D:maj(*3)", "D5"}, Case{"Bb:sus4(b7)", "Bb7sus4"},
          Case{"C:maj(9)", "Cadd9"}, Case{"C:min(9)", "Cmadd9"}, Case{"C:maj(4)", "Cadd11"}, Case{"C:maj6(9)", "C6/9"},
          Case{"C:7(#9)", "C7#9"}, Case{"C:7(b9,#11)", "C7b9#11"}, Case{"C:7(*5)", "C7no5"}, Case{"C:7(*5,b5)", "C7b5"},
          Case{"C:(3,5,b7)", "C7"}, Case{"C:(1,b3,b5,bb7)", "Cdim7"}, Case{"C:sus2(4)", "Csus2sus4"},
          Case{"C:min(*b3)", "C5"}, Case{"E:7(13)", "E7add13"}, Case{"E:9(11,13)", "E13"}})
        EXPECT_EQ(name_of(c.label), c.name) << c.label;
}

TEST(ChordAnnotation, TheBassIsADegreeOfTheRoot)
{
    EXPECT_EQ(name_of("C:maj/3"), "C/E");
    EXPECT_EQ(name_of("C/3"), "C/E");
    EXPECT_EQ(name_of("C/b7"), "C/Bb");
    EXPECT_EQ(name_of("A:min7/b3"), "Am7/C");
    EXPECT_EQ(name_of("E:7/3"), "E7/G#"); // spelled by letters: G sharp, not A flat
    EXPECT_EQ(name_of("Eb:min/5"), "Ebm/Bb");
    EXPECT_EQ(name_of("C:maj/9"), "C/D");
    EXPECT_EQ(name_of("C:maj/1"), "C");
}

TEST(ChordAnnotation, ReadsOrdinaryNamesWithoutAColon)
{
    EXPECT_EQ(name_of("Bbm7"), "Bbm7");
    EXPECT_EQ(name_of("A/G"), "A/G");
    EXPECT_EQ(name_of("F#m7b5/C"), "F#m7b5/C");
    EXPECT_EQ(name_of("N.C."), "none");
    EXPECT_THAT(name_of("Do"), HasSubstr("1: 'o' is not understood")); // no D diminished
    EXPECT_THAT(name_of("Es"), HasSubstr("1: 's' is not understood"));
}

TEST(ChordAnnotation, SaysWhereAChordHasNoNameAndWhichIsNearest)
{
    EXPECT_EQ(name_of("C:1"), "~C5");        // a single note
    EXPECT_EQ(name_of("C:maj7(b7)"), "~C7"); // two sevenths
    EXPECT_EQ(name_of("C:maj(*1)"), "~C");   // without its root
    EXPECT_EQ(parse_chord_annotation("C:maj7(b7)")->notes, "C E G Bb B");
    EXPECT_EQ(parse_chord_annotation("A:maj(*1)")->notes, "Db E");
}

TEST(ChordAnnotation, SaysWhatIsNoLabelAndWhere)
{
    EXPECT_THAT(name_of("H:maj"), HasSubstr("0: a label begins with a note"));
    EXPECT_THAT(name_of(""), HasSubstr("0: a label begins with a note"));
    EXPECT_THAT(name_of("n"), HasSubstr("0: a label begins with a note"));
    EXPECT_THAT(name_of("C:"), HasSubstr("2: a quality is missing"));
    EXPECT_THAT(name_of("C:foo"), HasSubstr("2: 'foo' is no quality"));
    EXPECT_THAT(name_of("C:Maj"), HasSubstr("2: 'Maj' is no quality"));
    EXPECT_THAT(name_of("C:maj("), HasSubstr("6: a degree"));
    EXPECT_THAT(name_of("C:maj(9"), HasSubstr("7: a closing bracket"));
    EXPECT_THAT(name_of("C:maj(14)"), HasSubstr("6: a degree"));
    EXPECT_THAT(name_of("C:maj(0)"), HasSubstr("6: a degree"));
    EXPECT_THAT(name_of("C:maj/G"), HasSubstr("6: the bass is a degree"));
    EXPECT_THAT(name_of("C:maj(9)x"), HasSubstr("8: 'x' is not understood"));
    EXPECT_THAT(name_of("C:maj(bbb9)"), HasSubstr("6: a degree"));
    EXPECT_THAT(name_of(std::string(1000, 'b')), HasSubstr("0: no label is that long"));
}

/// The half-steps above C that a label of degrees alone says: worked out here, not by what reads labels.
std::set<int> half_steps(ChordName const& chord)
{
    std::set<int> tones;
    for (NoteName const note : chord.notes())
        tones.insert((note.pitch_class() - chord.root.pitch_class() + 12) % 12);
    return tones;
}

// An exact chord has the tones that its label lists, on any root; one that is not has a remark and still is a name.
RC_GTEST_PROP(ChordAnnotation, NeverIsAnotherChordInSilence, ())
{
    struct Degree {
        char const* text;
        int half_steps;
    };
    static Degree const kDegrees[] = {{"b9", 1}, {"9", 2},  {"b3", 3}, {"3", 4},   {"4", 5}, {"b5", 6},
                                      {"5", 7},  {"#5", 8}, {"6", 9},  {"b7", 10}, {"7", 11}};
    std::set<int> wanted{0};
    std::string list = "1";
    for (Degree const& degree : kDegrees)
        if (*rc::gen::arbitrary<bool>()) {
            wanted.insert(degree.half_steps);
            list += std::string{","} + degree.text;
        }
    auto const root = *rc::gen::elementOf(std::vector<std::string>{"C", "F#", "Bb", "G", "Eb", "Cb", "B#"});
    auto const read = parse_chord_annotation(root + ":(" + list + ")");
    RC_ASSERT(read.has_value());
    RC_ASSERT(read->exact == (half_steps(read->chord) == wanted));
    auto const again = ChordName::parse(read->chord.text());
    RC_ASSERT(again.has_value());
    RC_ASSERT(*again == read->chord);
    RC_ASSERT(read->exact == read->notes.empty());
}

} // namespace
} // namespace tabard::overlay
