// The published data set @tombatossals/chords-db 0.5.1 against the arithmetic, the verdicts and the search.
#include "overlay/music/hand/hand.h"
#include "overlay/music/instrument.h"
#include "overlay/music/shapes/shape_search.h"
#include "overlay/music/shapes/shape_verdict.h"
#include "overlay/music/shapes/sounding.h"
#include "tests/overlay/music/chords_db.h"
#include "tests/support/outside.h"

#include <algorithm>
#include <map>
#include <set>
#include <string>
#include <vector>

#include <fmt/format.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace tabard::overlay {
namespace {

using testing::UnorderedElementsAreArray;

auto const kGuitar = tests::outside_file("node_modules/@tombatossals/chords-db/lib/guitar.json");
auto const kUkulele = tests::outside_file("node_modules/@tombatossals/chords-db/lib/ukulele.json");

// Suffixes whose voicings all hold what their name says, but for the fifth: found by comparing the data set with a
// table of chord contents written by hand.
std::set<std::string> const kClean{"major", "minor", "sus2", "sus4", "m6",    "dim7",
                                   "m7b5",  "7",     "maj7", "m7",   "7sus4", "69"};

// Suffixes on whose content no two books agree.
std::set<std::string> const kNoContent{"alt", "7sg"};

std::vector<int> midi_of(Shape const& shape, Tuning const& tuning)
{
    std::vector<int> notes;
    for (auto const pitch : sounding_pitches(shape, tuning, 0))
        if (pitch)
            notes.push_back(*pitch);
    return notes;
}

TEST(ChordsDb, NotesOfAll2069GuitarVoicingsEqualItsMidiLists)
{
    NEEDS_OUTSIDE(kGuitar);
    auto const voicings = read_chords_db(kGuitar);
    EXPECT_EQ(voicings.size(), 2069u); // its own "numberOfChords"
    for (auto const& voicing : voicings)
        EXPECT_EQ(midi_of(voicing.shape, Tuning{}), voicing.midi) << voicing.id();
}

TEST(ChordsDb, NotesOfTheUkuleleVoicingsEqualItsMidiLists)
{
    NEEDS_OUTSIDE(kUkulele);
    auto const tuning = Instrument::named("ukulele")->tuning;
    auto const voicings = read_chords_db(kUkulele);
    EXPECT_GT(voicings.size(), 1000u);
    for (auto const& voicing : voicings)
        EXPECT_EQ(midi_of(voicing.shape, tuning), voicing.midi) << voicing.id();
}

TEST(ChordsDb, VoicingsOfTheTwelveCleanSuffixesGiveNoFinding)
{
    NEEDS_OUTSIDE(kGuitar);
    int seen = 0;
    for (auto const& voicing : read_chords_db(kGuitar)) {
        if (!kClean.contains(voicing.suffix))
            continue;
        ++seen;
        auto const chord = *ChordName::parse(voicing.chord());
        auto const verdict = judge(voicing.shape, chord, Tuning{});
        EXPECT_TRUE(verdict.fits()) << voicing.id() << ": " << text_of(verdict, chord, Tuning{});
    }
    EXPECT_EQ(seen, 577);
}

// The voicings that hold a note foreign to their name or another bass than the named one: counted by hand against the
// suffixes.
std::vector<std::string> const kContradict{
    "C#aug #1",    "C#aug #2", "C#7b5 #4",    "C#11 #1",   "C#11 #2",    "C#11 #3",   "C#11 #4",
    "C#9#11 #1",   "D7#9 #2",  "Dmaj9 #2",    "Dmmaj7 #2", "Dmmaj11 #3", "Eb7b5 #3",  "Eb11 #3",
    "Ebmaj7b5 #2", "Ebm69 #3", "Emadd9 #1",   "Emadd9 #2", "Emadd9 #3",  "Emadd9 #4", "F/A #3",
    "Gm11 #3",     "Gadd9 #2", "Abmaj7b5 #3", "Adim #2",   "Am/G# #1",   "Bb6 #4",    "Baug #4"};

TEST(ChordsDb, The28VoicingsThatContradictTheirNameAreFlaggedAndNoOther)
{
    NEEDS_OUTSIDE(kGuitar);
    std::vector<std::string> flagged;
    for (auto const& voicing : read_chords_db(kGuitar)) {
        if (kNoContent.contains(voicing.suffix))
            continue;
        auto const chord = ChordName::parse(voicing.chord());
        ASSERT_TRUE(chord) << chord.error().what;
        auto const verdict = judge(voicing.shape, *chord, Tuning{});
        if (!verdict.foreign.empty() || verdict.bass == ShapeVerdict::Bass::wrong)
            flagged.push_back(voicing.id());
    }
    EXPECT_THAT(flagged, UnorderedElementsAreArray(kContradict));
}

// A finger on a muted string, a fretted string without one, or one finger on two frets: read off the data.
std::vector<std::string> const kImpossible{"C#sus2 #2", "C#sus4 #3",   "C#maj13 #1", "D11 #4",  "Eb7b5 #3",
                                           "Eb9b5 #3",  "Ebmaj7b5 #2", "Ebm69 #3",   "Eaug #3", "F#alt #4",
                                           "Gdim #3",   "Ab7b9 #2",    "Amaj7#5 #4", "Bb6 #3",  "Baug7 #2"};

// One finger on two strings with a lower or open string between them: counted by a separate script over the JSON.
std::vector<std::string> const kLiesOverLower{"Abm11 #4", "Bmaj7#5 #3",  "Bmmaj9 #4", "C#mmaj11 #1", "C69 #1",
                                              "C9 #4",    "Ebmmaj11 #2", "Esus2 #4",  "F9b5 #4",     "Gmaj13 #1"};

TEST(ChordsDb, TheVoicingsWithImpossibleFingeringAreFlaggedAndNoOther)
{
    NEEDS_OUTSIDE(kGuitar);
    std::set<std::string> flagged;
    std::set<std::string> over_lower;
    double widest_mm = 0;
    for (auto const& voicing : read_chords_db(kGuitar)) {
        auto const verdict = judge_hand(voicing.shape, Tuning{}, 648);
        for (auto const& fault : verdict.faults)
            (fault.kind == HandFault::Kind::barre_over_lower ? over_lower : flagged).insert(voicing.id());
        widest_mm = std::max(widest_mm, verdict.span_mm);
    }
    EXPECT_THAT(flagged, UnorderedElementsAreArray(kImpossible));
    EXPECT_THAT(over_lower, UnorderedElementsAreArray(kLiesOverLower));
    // Its windows are four frets wide: at most from fret 1 to 4 of 648 mm, 648 * (2^(-1/12) - 2^(-4/12)) = 97.3.
    EXPECT_NEAR(widest_mm, 97.3, 0.1);
}

std::string bare(Shape const& shape) { return shape.frets_text(); }

TEST(ChordsDb, OneOfItsVoicingsIsAmongOurFirstFiveForNineInTenChords)
{
    NEEDS_OUTSIDE(kGuitar);
    std::map<std::string, std::set<std::string>> published;
    for (auto const& voicing : read_chords_db(kGuitar))
        if (kClean.contains(voicing.suffix))
            published[voicing.chord()].insert(bare(voicing.shape));
    int found = 0;
    for (auto const& [name, shapes] : published) {
        auto const ours = find_shapes(*ChordName::parse(name), Tuning{}, 5);
        bool const agrees =
            std::ranges::any_of(ours, [&](auto const& one) { return shapes.contains(bare(one.shape)); });
        found += agrees ? 1 : 0;
        if (!agrees && !ours.empty()) {
            fmt::print("{}: ours", name);
            for (auto const& one : ours)
                fmt::print(" {}", bare(one.shape));
            fmt::print("; published");
            for (auto const& one : shapes)
                fmt::print(" {}", one);
            fmt::print("\n");
        }
    }
    double const share = 100.0 * found / static_cast<double>(published.size());
    fmt::print("chords-db: {} of {} chords ({:.1f} %) have a published voicing among our first five\n", found,
               published.size(), share);
    EXPECT_EQ(published.size(), 144u);
    EXPECT_GE(share, 90);
}

} // namespace
} // namespace tabard::overlay
