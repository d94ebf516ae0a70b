#include "tests/support/run_program.h"

#include <string>
#include <utility>
#include <vector>

#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

namespace tabard::tests {
namespace {

using testing::HasSubstr;
using testing::IsEmpty;
using testing::StartsWith;

ProgramRun chord(std::vector<std::string> words)
{
    words.insert(words.begin(), {TABARD_PROGRAM, "chord"});
    return run_program(words);
}

TEST(ChordCommand, DrawsShapesAndTellsWhatSoundsBehindTheCapo)
{
    auto const run = chord({"C", "--capo", "4", "--shapes", "1"});
    EXPECT_EQ(run.exit, 0);
    EXPECT_THAT(run.out, StartsWith("C: C E G; with the capo at fret 4 it sounds E: E G♯ B\n"));
    EXPECT_THAT(run.out, HasSubstr("   x     o   o\n   ╒═╤═╤═╤═╤═╕\n   │ │ │ │ 1 │\n"));
    EXPECT_THAT(run.out, HasSubstr("x32010"));
    EXPECT_THAT(run.err, IsEmpty());
}

TEST(ChordCommand, NamesAShapeAndSaysWhereItContradictsAName)
{
    EXPECT_THAT(chord({"--frets", "x32030"}).out, StartsWith("Cadd9: C E G D\n"));
    auto const wrong = chord({"G/B", "--frets", "320003"});
    EXPECT_EQ(wrong.exit, 1);
    EXPECT_THAT(wrong.out, HasSubstr("the bass is G, not B"));
    EXPECT_THAT(wrong.out, HasSubstr("G: all its notes, root in the bass"));
}

TEST(ChordCommand, ExplainsANameItCannotRead)
{
    auto const run = chord({"Cmin6x"});
    EXPECT_EQ(run.exit, 3);
    EXPECT_THAT(run.out, IsEmpty());
    EXPECT_EQ(run.err, "tabard: chord name \"Cmin6x\": \"x\" at position 6 is not understood; did you mean \"Cm6\"?\n");
    EXPECT_EQ(chord({}).exit, 2);
    EXPECT_EQ(chord({"C", "--capo", "40"}).exit, 2);
}

TEST(ChordCommand, OneBadNameStopsNoOther)
{
    auto const run = chord({"A", "B?", "C"});
    EXPECT_EQ(run.exit, 3);
    EXPECT_THAT(run.out, HasSubstr("A: A C♯ E\n"));
    EXPECT_THAT(run.out, HasSubstr("C: C E G\n"));
    EXPECT_THAT(run.err, HasSubstr("chord name \"B?\": \"?\" at position 2 is not understood"));
    auto const json = nlohmann::json::parse(chord({"A", "B?", "C", "--json"}).out);
    EXPECT_EQ(json["chords"].size(), 2U);
    EXPECT_EQ(json["refused"][0]["name"], "B?");
    EXPECT_FALSE(nlohmann::json::parse(chord({"A", "--json"}).out).contains("refused"));
}

TEST(ChordCommand, ReadsNamesOfAnotherLanguageWhereItIsNamed)
{
    EXPECT_THAT(chord({"H", "--names", "german"}).out, StartsWith("H: H Dis Fis\n"));
    EXPECT_THAT(chord({"B", "--names", "german"}).out, StartsWith("B: B D F\n"));
    EXPECT_THAT(chord({"Sib", "--names", "latin"}).out, StartsWith("Si♭: Si♭ Re Fa\n"));
    auto const run = chord({"As", "Es"});
    EXPECT_EQ(run.exit, 3);
    EXPECT_THAT(run.out, IsEmpty());
    EXPECT_THAT(run.err, HasSubstr("as a German name it is \"Ab\""));
    EXPECT_THAT(run.err, HasSubstr("--names german reads all names so; B is B flat then."));
    EXPECT_EQ(chord({"H", "--names", "klingon"}).exit, 2);
}

TEST(ChordCommand, CountsTheBassAmongTheNotes)
{
    EXPECT_THAT(chord({"Am/G"}).out, StartsWith("Am/G: A C E G\n"));
    EXPECT_THAT(chord({"Am/C"}).out, StartsWith("Am/C: A C E\n")) << "it is one of them already";
}

TEST(ChordCommand, PrintsOneJsonDocumentWithItsVersion)
{
    auto const run = chord({"F#m", "Bb", "--json", "--tuning", "DADGAD"});
    EXPECT_EQ(run.exit, 0);
    EXPECT_THAT(run.out,
                StartsWith("{\n  \"version\": 1,\n  \"instrument\": \"guitar\",\n  \"tuning\": [\n    \"D2\""));
    EXPECT_THAT(run.out, HasSubstr("\"name\": \"F#m\""));
    EXPECT_THAT(run.out, HasSubstr("\"verdict\": \"exact\""));
}

TEST(ChordCommand, WritesMusicXmlAndPicturesAndKeepsWhatIsThere)
{
    EXPECT_THAT(chord({"C", "--musicxml"}).out, HasSubstr("<score-partwise version=\"4.0\">"));
    TemporaryFolder const folder;
    for (auto const& [name, magic] : {std::pair{"c.png", "\x89PNG"}, {"c.svg", "<?xml"}, {"c.pdf", "%PDF-1."}}) {
        auto const path = (folder / name).string();
        EXPECT_EQ(chord({"C", "D7", "-o", path}).exit, 0) << name;
        EXPECT_THAT(read_text(path), StartsWith(magic)) << name;
        EXPECT_EQ(chord({"C", "-o", path}).exit, 3) << name; // it is there already
        EXPECT_EQ(chord({"C", "-o", path, "--force"}).exit, 0) << name;
    }
    EXPECT_EQ(chord({"C", "-o", (folder / "c.gif").string()}).exit, 2);
}

TEST(ChordCommand, ReadsBackTheMusicXmlThatItWrites)
{
    TemporaryFolder const folder;
    auto const path = (folder / "song.musicxml").string();
    write_text(path, chord({"C", "G/B", "--musicxml"}).out);
    auto const run = chord({"--from", path});
    EXPECT_EQ(run.exit, 0);
    EXPECT_THAT(run.out, HasSubstr("x32010"));
    EXPECT_THAT(run.out, HasSubstr("G/B: G B D"));
    EXPECT_EQ(chord({"--from", (folder / "none").string()}).exit, 3);
}

// Ring and little finger stay on the two highest strings: every player's way for these two (common practice).
TEST(ChordCommand, ShowsTheShapesOfALessonAndSaysWhyOneIsNotTheUsual)
{
    TemporaryFolder const folder;
    auto const path = folder / "lesson.json";
    write_text(path, R"({"tabard": 1, "title": "L", "footage": "f.mp4", "capo": 2, "sections": [
        {"name": "Verse", "from": "0:10", "tempo": 60, "bars": "G | Cadd9 | Em7 | Dsus4"}]})");
    auto const run = chord({"--from", path.string()});
    EXPECT_EQ(run.exit, 0) << run.err;
    EXPECT_THAT(run.out, HasSubstr("320033\n   not 320003, so that fingers 3 and 4 stay between G and Cadd9\n"));
    EXPECT_THAT(run.out, HasSubstr("with the capo at fret 2 it sounds A"));
    EXPECT_THAT(chord({"G"}).out, HasSubstr("320003")) << "a chord alone has its usual shape";
}

TEST(ChordCommand, AdvisesACapoForTheChordsOfASong)
{
    auto const run = chord({"E", "B", "C#m", "A", "--advise-capo"});
    EXPECT_EQ(run.exit, 0);
    EXPECT_THAT(run.out, HasSubstr("no capo: 2 of 4 chords are open shapes in E; B, C#m are not"));
    EXPECT_THAT(run.out, HasSubstr("capo 4: 3 of 4 chords are open shapes in C; F is not"));
}

TEST(ChordCommand, TellsWhichFingersStayFromChordToChord)
{
    EXPECT_THAT(chord({"Am", "C", "--shapes", "1"}).out, HasSubstr("Am to C: fingers 1 and 2 stay\n"));
}

} // namespace
} // namespace tabard::tests
