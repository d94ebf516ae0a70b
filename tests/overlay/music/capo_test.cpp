#include "overlay/music/capo/capo.h"
#include "overlay/music/capo/capo_advice.h"
#include "overlay/music/shapes/shape_verdict.h"
#include "overlay/music/shapes/sounding.h"

#include <algorithm>
#include <string>
#include <vector>

#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

namespace tabard::overlay {
namespace {

using testing::ElementsAre;

struct CapoRow {
    int capo;
    std::vector<char const*> sounds; // for shapes in C A G E D Am Em Dm
};

// npm tonal 6.4.2: each tonic transposed by so many half-steps. Where two spellings have equally many accidentals, the
// one this project prints.
std::vector<CapoRow> const kCapoTable{
    {0, {"C", "A", "G", "E", "D", "Am", "Em", "Dm"}},         {1, {"Db", "Bb", "Ab", "F", "Eb", "Bbm", "Fm", "Ebm"}},
    {2, {"D", "B", "A", "F#", "E", "Bm", "F#m", "Em"}},       {3, {"Eb", "C", "Bb", "G", "F", "Cm", "Gm", "Fm"}},
    {4, {"E", "Db", "B", "Ab", "F#", "C#m", "G#m", "F#m"}},   {5, {"F", "D", "C", "A", "G", "Dm", "Am", "Gm"}},
    {6, {"F#", "Eb", "Db", "Bb", "Ab", "Ebm", "Bbm", "G#m"}}, {7, {"G", "E", "D", "B", "A", "Em", "Bm", "Am"}},
    {8, {"Ab", "F", "Eb", "C", "Bb", "Fm", "Cm", "Bbm"}},     {9, {"A", "F#", "E", "Db", "B", "F#m", "C#m", "Bm"}},
    {10, {"Bb", "G", "F", "D", "C", "Gm", "Dm", "Cm"}},       {11, {"B", "Ab", "F#", "Eb", "Db", "G#m", "Ebm", "C#m"}},
    {12, {"C", "A", "G", "E", "D", "Am", "Em", "Dm"}}};

TEST(Key, IsReadAsPeopleSayIt)
{
    for (auto const& [said, written] : {std::pair{"C sharp minor", "C#m"},
                                        {"B flat", "Bb"},
                                        {"Eb major", "Eb"},
                                        {"F sharp", "F#"},
                                        {"G  min", "Gm"},
                                        {"A flat minor", "Abm"}})
        EXPECT_EQ(Key::parse(said).value_or(Key{}).text(), written) << said;
    for (auto const* const nonsense : {"C# sharp", "C flatter", "flat", "H minor", "C sharp sharp"})
        EXPECT_FALSE(Key::parse(nonsense)) << nonsense;
}

TEST(Capo, SoundsTheKeyOfTheCapoTableAndBack)
{
    char const* const shapes[] = {"C", "A", "G", "E", "D", "Am", "Em", "Dm"};
    for (auto const& row : kCapoTable)
        for (std::size_t i = 0; i < row.sounds.size(); ++i) {
            auto const shape = *Key::parse(shapes[i]);
            auto const sounds = *Key::parse(row.sounds[i]);
            EXPECT_EQ(sounding_key(shape, row.capo).text(), row.sounds[i]) << "capo " << row.capo;
            EXPECT_EQ(shapes_key(sounds, row.capo), shape) << "capo " << row.capo;
        }
}

TEST(Capo, ChordsAreSpelledForTheKeyThatSounds)
{
    auto const c = *Key::parse("C");
    // The scale of E has D sharp, never E flat; the chord on the flat seventh of C becomes one on D natural.
    EXPECT_EQ(sounding_chord(*ChordName::parse("G/B"), c, 4).text(), "B/D#");
    EXPECT_EQ(sounding_chord(*ChordName::parse("Am7"), c, 4).text(), "C#m7");
    EXPECT_EQ(sounding_chord(*ChordName::parse("Bb"), c, 4).text(), "D");
    // In F the fourth degree is B flat.
    EXPECT_EQ(sounding_chord(*ChordName::parse("F"), c, 5).text(), "Bb");
    EXPECT_EQ(shape_chord(*ChordName::parse("B/D#"), *Key::parse("E"), 4).text(), "G/B");
}

struct OpenShape {
    char const* name;
    char const* frets;
    std::vector<int> midi;
};

// The open shapes of every beginner's book; sounding MIDI by npm tonal 6.4.2 from the names of the fretted notes.
std::vector<OpenShape> const kOpenShapes{
    {"C", "x32010", {48, 52, 55, 60, 64}},      {"A", "x02220", {45, 52, 57, 61, 64}},
    {"G", "320003", {43, 47, 50, 55, 59, 67}},  {"E", "022100", {40, 47, 52, 56, 59, 64}},
    {"D", "xx0232", {50, 57, 62, 66}},          {"Am", "x02210", {45, 52, 57, 60, 64}},
    {"Em", "022000", {40, 47, 52, 55, 59, 64}}, {"Dm", "xx0231", {50, 57, 62, 65}},
    {"F", "133211", {41, 48, 53, 57, 60, 65}},  {"Bm", "x24432", {47, 54, 59, 62, 66}},
    {"B7", "x21202", {47, 51, 57, 59, 66}},     {"E7", "020100", {40, 47, 50, 56, 59, 64}},
    {"A7", "x02020", {45, 52, 55, 61, 64}},     {"D7", "xx0212", {50, 57, 60, 66}},
    {"G7", "320001", {43, 47, 50, 55, 59, 65}}, {"C7", "x32310", {48, 52, 58, 60, 64}},
    {"Fmaj7", "xx3210", {53, 57, 60, 64}},      {"Cmaj7", "x32000", {48, 52, 55, 59, 64}},
    {"Am7", "x02010", {45, 52, 55, 60, 64}},    {"Em7", "022030", {40, 47, 52, 55, 62, 64}},
    {"Cadd9", "x32030", {48, 52, 55, 62, 64}}};

TEST(Capo, OpenShapesSoundTheNotesOfTheirNames)
{
    for (auto const& open : kOpenShapes) {
        auto const shape = *Shape::parse(open.frets);
        std::vector<int> notes;
        for (auto const pitch : sounding_pitches(shape, Tuning{}, 0))
            if (pitch)
                notes.push_back(*pitch);
        EXPECT_EQ(notes, open.midi) << open.name;
        EXPECT_TRUE(judge(shape, *ChordName::parse(open.name), Tuning{}).fits()) << open.name;
    }
}

TEST(Capo, TheBassStringIsTheLowestThatSounds)
{
    EXPECT_EQ(bass_string(*Shape::parse("320003"), Tuning{}), 6);
    EXPECT_EQ(bass_string(*Shape::parse("x32010"), Tuning{}), 5);
    EXPECT_EQ(bass_string(*Shape::parse("xx0232"), Tuning{}), 4);
    EXPECT_EQ(bass_string(*Shape::parse("xxxxxx"), Tuning{}), 0);
    // On a ukulele the third string, C4, lies lowest, not the first of the tuning.
    EXPECT_EQ(bass_string(*Shape::parse("0003"), *Tuning::parse("G4 C4 E4 A4")), 3);
}

TEST(ShapeVerdict, SaysWhatIsMissingOrForeignAndWhere)
{
    auto const said = [](char const* frets, char const* name) {
        auto const chord = *ChordName::parse(name);
        return text_of(judge(*Shape::parse(frets), chord, Tuning{}), chord, Tuning{});
    };
    EXPECT_EQ(said("x32010", "C"), "exact");
    EXPECT_EQ(said("x32310", "C7"), "leaves out the fifth (G)");
    EXPECT_EQ(said("x32010", "C7"), "lacks the seventh (B♭)");
    EXPECT_EQ(said("x3201x", "Cm"), "lacks the third (E♭); E on string 4, fret 2, is not in Cm");
    EXPECT_EQ(said("320003", "G/B"), "the bass is G, not B");
    EXPECT_EQ(said("x20003", "G"), "B in the bass");
    EXPECT_EQ(said("x20003", "G/B"), "exact");
}

RC_GTEST_PROP(Capo, MovingAKeyUpAndDownAgainChangesNothing, ())
{
    auto const key = *Key::parse(*rc::gen::element<std::string>("C", "Db", "D", "Eb", "E", "F", "F#", "G", "Ab", "A",
                                                                "Bb", "B", "Am", "Bbm", "Bm", "Cm", "C#m", "Dm", "Ebm",
                                                                "Em", "Fm", "F#m", "Gm", "G#m"));
    auto const capo = *rc::gen::inRange(0, 13);
    RC_ASSERT(shapes_key(sounding_key(key, capo), capo) == key);
    auto const played = *ChordName::parse("F#m7b5/E");
    auto const heard = sounding_chord(played, key, capo);
    RC_ASSERT(shape_chord(heard, sounding_key(key, capo), capo) == played);
    RC_ASSERT(heard.root.pitch_class() == mod(played.root.pitch_class() + capo, 12));
}

TEST(CapoAdvice, PutsTheCapoWhereTheSongBecomesOpenShapes)
{
    std::vector<ChordName> song;
    for (auto const* name : {"E", "B", "C#m", "A", "F#m", "E7"})
        song.push_back(*ChordName::parse(name));
    auto const advice = advise_capo(song, *Key::parse("E"), Tuning{});
    EXPECT_EQ(advice.size(), 8u);
    // In D: D A Bm G Em D7; in G with capo 9 out of range; in C: C G Am F Dm C7, where F has its small barre.
    auto const at = [&](int capo) { return std::ranges::find(advice, capo, &CapoChoice::capo)->text(); };
    EXPECT_EQ(at(2), "capo 2: 5 of 6 chords are open shapes in D; Bm is not");
    EXPECT_EQ(at(4), "capo 4: 5 of 6 chords are open shapes in C; F is not");
    EXPECT_EQ(at(0), "no capo: 3 of 6 chords are open shapes in E; B, C#m, F#m are not");
}

} // namespace
} // namespace tabard::overlay
