// npm tonal 6.4.2 as reference for chord contents, key signatures, transposition and note numbers. Not for 11 and 13
// chords: tonal leaves tones out there that MusicXML 4.0, which this project follows, includes.
#include "overlay/music/names/chord_name.h"
#include "overlay/music/names/key.h"
#include "overlay/music/tuning.h"
#include "tests/support/outside.h"

#include <fstream>
#include <sstream>
#include <string>
#include <string_view>
#include <vector>

#include <gtest/gtest.h>

namespace tabard::overlay {
namespace {

auto const kTables = tests::outside_file("tonal_tables.txt");

/// The lines of one kind, without it, word by word.
std::vector<std::vector<std::string>> rows(std::string const& kind)
{
    std::ifstream file(kTables);
    std::vector<std::vector<std::string>> found;
    for (std::string line; std::getline(file, line);) {
        std::istringstream words(line);
        std::vector<std::string> row;
        for (std::string word; words >> word;)
            row.push_back(word);
        if (row.at(0) == kind)
            found.emplace_back(row.begin() + 1, row.end());
    }
    return found;
}

NoteName note(std::string_view text) { return *take_note(text); }

TEST(Tonal, AgreesOnTheSpelledNotesOf25QualitiesOn12Roots)
{
    NEEDS_OUTSIDE(kTables);
    auto const chords = rows("chord");
    EXPECT_EQ(chords.size(), 300u);
    for (auto const& row : chords) {
        std::vector<std::string> notes;
        for (auto const tone : ChordName::parse(row[0])->notes())
            notes.push_back(tone.text());
        // Ours are in the order of the degrees; tonal tells added tones last, as do we.
        EXPECT_EQ(notes, std::vector(row.begin() + 1, row.end())) << row[0];
    }
}

TEST(Tonal, AgreesOnKeySignaturesAndHowScalesAreSpelled)
{
    NEEDS_OUTSIDE(kTables);
    for (auto const* kind : {"key", "minor"}) {
        auto const keys = rows(kind);
        EXPECT_GE(keys.size(), 13u);
        for (auto const& row : keys) {
            auto const key = *Key::parse(row[0]);
            EXPECT_EQ(std::to_string(key.signature()), row[1]) << row[0];
            for (auto const& tone : std::vector(row.begin() + 2, row.end()))
                EXPECT_EQ(key.spell(note(tone).pitch_class()).text(), tone) << row[0];
        }
    }
}

TEST(Tonal, AgreesOnNotesMovedByIntervals)
{
    NEEDS_OUTSIDE(kTables);
    auto const moves = rows("transpose");
    EXPECT_EQ(moves.size(), 144u);
    for (auto const& row : moves) {
        Interval interval{std::stoi(row[2]), 0};
        interval.alter = std::stoi(row[1]) - interval.semitones();
        EXPECT_EQ(note(row[0]).up(interval).text(), row[3]) << row[0] << " up " << interval.text();
        EXPECT_EQ(note(row[3]).down(interval), note(row[0])) << row[3] << " down " << interval.text();
    }
}

TEST(Tonal, AgreesOnTheNumbersOfPitches)
{
    NEEDS_OUTSIDE(kTables);
    auto const pitches = rows("midi");
    EXPECT_FALSE(pitches.empty());
    for (auto const& row : pitches)
        EXPECT_EQ(Tuning::parse(row[0] + " E2 E2")->open_strings[0], std::stoi(row[1])) << row[0];
}

} // namespace
} // namespace tabard::overlay
