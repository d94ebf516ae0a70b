// Note names of other languages, and spellings of qualities.
#include "overlay/music/names/chord_name.h"
#include "overlay/music/names/key.h"
#include "overlay/music/names/note_names.h"

#include <string>
#include <string_view>

#include <gtest/gtest.h>

namespace tabard::overlay {
namespace {

struct Meant {
    char const* written;
    char const* meant; ///< in English names
};

std::string read_as(std::string_view name, NoteNames names)
{
    auto const chord = ChordName::parse(name, names);
    return chord ? chord->text() : chord.error().what;
}

// German note names (the letters with -is and -es, H and B) as every German school book has them; a small letter for
// minor as in German song books (common practice, no published source).
constexpr Meant kGerman[] = {
    {"H", "B"},          {"B", "Bb"},          {"Hm7", "Bm7"},     {"B7", "Bb7"},        {"Bb", "Bb"},
    {"Fis", "F#"},       {"Fism", "F#m"},      {"F#m", "F#m"},     {"As", "Ab"},         {"Es", "Eb"},
    {"Asus4", "Asus4"},  {"Assus4", "Absus4"}, {"Esus", "Esus4"},  {"Essus2", "Ebsus2"}, {"Des7", "Db7"},
    {"Cis", "C#"},       {"Gisdim", "G#dim"},  {"C/H", "C/B"},     {"C/h", "C/B"},       {"G/b", "G/Bb"},
    {"a", "Am"},         {"h", "Bm"},          {"b", "Bbm"},       {"fis7", "F#m7"},     {"es", "Ebm"},
    {"am", "Am"},        {"a/g", "Am/G"},      {"Cj7", "Cmaj7"},   {"Esmaj7", "Ebmaj7"}, {"D/Fis", "D/F#"},
    {"C-Dur", "C"},      {"h-Moll", "Bm"},     {"Ges/B", "Gb/Bb"}, {"Heses", "B𝄫"},      {"Eis", "E#"},
    {"Ais°7", "A#dim7"}, {"N.C.", "N.C."},
};

TEST(GermanNames, AreReadAsGermanPlayersWriteThem)
{
    for (auto const& c : kGerman)
        EXPECT_EQ(read_as(c.written, NoteNames::german), c.meant) << c.written;
}

// Names of the fixed Do, as Spain, France, Italy and Latin America write chords (common practice, no published source).
constexpr Meant kLatin[] = {
    {"Do", "C"},
    {"Re", "D"},
    {"Ré", "D"},
    {"Re\u0301", "D"},
    {"Mi", "E"},
    {"Fa", "F"},
    {"Sol", "G"},
    {"La", "A"},
    {"Si", "B"},
    {"Sib", "Bb"},
    {"Lam", "Am"},
    {"La m", "Am"},
    {"Dom", "Cm"},
    {"Do7", "C7"},
    {"DO7", "C7"},
    {"Do#m", "C#m"},
    {"Do #m", "C#m"},
    {"Mib7", "Eb7"},
    {"Sol/Si", "G/B"},
    {"Re/Fa#", "D/F#"},
    {"Solsus4", "Gsus4"},
    {"Domaj7", "Cmaj7"},
    {"Do7M", "Cmaj7"},
    {"Sim7b5", "Bm7b5"},
    {"Mim", "Em"},
    {"La-", "Am"},
    {"Fa#°", "F#dim"},
    {"Si bemol", "Bb"},
    {"Fa sostenido m", "F#m"},
    {"La menor", "Am"},
    {"Sol mayor", "G"},
    {"Ré mineur", "Dm"},
    {"Do diesis", "C#"},
    {"do", "C"},
    {"Mi bémol", "Eb"},
    {"Sol7/9", "G9"},
    {"Doadd9", "Cadd9"},
};

TEST(LatinNames, AreReadAsPlayersOfTheSouthWriteThem)
{
    for (auto const& c : kLatin)
        EXPECT_EQ(read_as(c.written, NoteNames::latin), c.meant) << c.written;
}

TEST(NoteNames, OfAllLanguagesAreReadBackAsTheyAreWritten)
{
    for (auto const names : {NoteNames::english, NoteNames::german, NoteNames::latin})
        for (int letter = 0; letter < 7; ++letter)
            for (int alter = -2; alter <= 2; ++alter) {
                NoteName const note{letter, alter};
                for (auto const& text : {text_of(note, names), pretty_of(note, names)}) {
                    std::string_view rest = text;
                    auto const read = take_note(rest, names);
                    ASSERT_TRUE(read) << text;
                    EXPECT_EQ(read->note, note) << text;
                    EXPECT_EQ(rest, "") << text;
                }
            }
}

constexpr char const* kQualities[] = {"",     "m",     "5",    "6",    "m6",    "6/9",  "7",    "maj7",
                                      "m7",   "mMaj7", "9",    "m9",   "add9",  "sus2", "sus4", "7sus4",
                                      "dim",  "dim7",  "m7b5", "aug",  "7#5",   "7b9",  "7#9",  "13",
                                      "(b5)", "7alt",  "add2", "maj9", "madd9", "no5",  "7b5",  "m7b5/C"};

TEST(NoteNames, ChordsOfAllLanguagesAreReadBackAsTheyAreWritten)
{
    for (auto const names : {NoteNames::english, NoteNames::german, NoteNames::latin})
        for (int letter = 0; letter < 7; ++letter)
            for (int alter = -1; alter <= 1; ++alter)
                for (auto const* const quality : kQualities) {
                    auto const chord = *ChordName::parse(NoteName{letter, alter}.text() + quality);
                    auto const text = chord.text(names);
                    auto const read = ChordName::parse(text, names);
                    ASSERT_TRUE(read) << read.error().what;
                    EXPECT_EQ(*read, chord) << text;
                }
}

TEST(NoteNames, AreSetInTypeAsTheAuthorSpellsThem)
{
    EXPECT_EQ(label_of("Fism7", NoteNames::german), (ChordLabel{"Fism", "7", ""}));
    EXPECT_EQ(label_of("F#m7", NoteNames::german), (ChordLabel{"F♯m", "7", ""}));
    EXPECT_EQ(label_of("H7/Dis", NoteNames::german), (ChordLabel{"H", "7", "Dis"}));
    EXPECT_EQ(label_of("B", NoteNames::german), (ChordLabel{"B", "", ""}));
    EXPECT_EQ(label_of("Bb", NoteNames::german), (ChordLabel{"B♭", "", ""}));
    EXPECT_EQ(label_of("a", NoteNames::german), (ChordLabel{"Am", "", ""}));
    EXPECT_EQ(label_of("Sib7/Re", NoteNames::latin), (ChordLabel{"Si♭", "7", "Re"}));
    EXPECT_EQ(label_of("Ré mineur", NoteNames::latin), (ChordLabel{"Rém", "", ""}));
    EXPECT_EQ(label_of("Fa nueva", NoteNames::latin), (ChordLabel{"Fa nueva", "", ""}));
}

struct Refused {
    char const* name;
    char const* says; ///< what the message must hold
};

// No name of another language becomes another chord in silence.
constexpr Refused kNotEnglish[] = {
    {"H", "as a German name it is \"B\" (and German B is \"Bb\")"},
    {"Hm7", "as a German name it is \"Bm7\""},
    {"h", "as a German name it is \"Bm\""},
    {"Fis", "as a German name it is \"F#\""},
    {"fis", "as a German name it is \"F#m\""},
    {"As", "as a German name it is \"Ab\""},
    {"Es7", "as a German name it is \"Eb7\""},
    {"C/H", "as a German name it is \"C/B\""},
    {"Do", "write \"Ddim\", or \"C\" where it is a Latin name"},
    {"Do7", "write \"Ddim7\", or \"C7\" where it is a Latin name"},
    {"Dom", "as a Latin name it is \"Cm\""},
    {"do", "write \"Ddim\", or \"C\" where it is a Latin name"},
    {"dom7", "as a Latin name it is \"Cm7\""},
    {"re", "as a Latin name it is \"D\""},
    {"mim", "as a Latin name it is \"Em\""},
    {"fa#", "as a Latin name it is \"F#\""},
    {"sol7", "as a Latin name it is \"G7\""},
    {"la", "as a Latin name it is \"A\""},
    {"sib", "as a Latin name it is \"Bb\""},
    {"Sol", "as a Latin name it is \"G\""},
    {"Lam7", "as a Latin name it is \"Am7\""},
    {"Mi", "as a Latin name it is \"E\""},
    {"Fa#m", "as a Latin name it is \"F#m\""},
    {"Sib", "as a Latin name it is \"Bb\""},
    {"c", "did you mean \"C\"?"},
    {"D4", "\"D4\" is read in two ways: write \"Dsus4\" or \"Dadd4\""},
    {"D4/F#", "write \"Dsus4/F#\" or \"Dadd4/F#\""},
    {"D7/4", "write \"D7sus4\" or \"D7add4\""},
    {"Em2", "did you mean \"Emadd2\"?"},
    {"C over E", "did you mean \"C/E\"?"},
    {"C\\E", "did you mean \"C/E\"?"},
    {"B b", "did you mean \"Bb\"?"},
    {"A b m", "did you mean \"Abm\"?"},
    {"C G7", "\"C\" and \"G7\" are two names: write each for itself"},
    {"C, G7", "\"C\" and \"G7\" are two names: write each for itself"},
};

TEST(EnglishNames, AreToldFromThoseOfOtherLanguages)
{
    for (auto const& c : kNotEnglish) {
        auto const chord = ChordName::parse(c.name);
        ASSERT_FALSE(chord) << c.name << " is read as " << chord->text();
        EXPECT_NE(chord.error().what.find(c.says), std::string::npos) << chord.error().what;
    }
}

TEST(OtherNames, AreRefusedWithWhatTheyMeanInAnotherLanguage)
{
    EXPECT_NE(read_as("Am7", NoteNames::latin).find("as an English name it is \"Lam7\""), std::string::npos);
    EXPECT_NE(read_as("Sol", NoteNames::german).find("as a Latin name it is \"G\""), std::string::npos);
    EXPECT_NE(read_as("Fis", NoteNames::latin).find("as a German name it is \"Fa#\""), std::string::npos);
    EXPECT_NE(read_as("Do7+", NoteNames::latin).find("write \"Domaj7\" or \"Do7#5\""), std::string::npos);
    EXPECT_NE(read_as("asus4", NoteNames::german).find("did you mean \"Asus4\"?"), std::string::npos);
    EXPECT_EQ(language_of("Hm", NoteNames::english), NoteNames::german);
    EXPECT_EQ(language_of("Solm", NoteNames::english), NoteNames::latin);
    EXPECT_EQ(language_of("Do", NoteNames::english), NoteNames::latin);
    EXPECT_EQ(language_of("do", NoteNames::english), NoteNames::latin);
    EXPECT_EQ(language_of("am7", NoteNames::english), std::nullopt) << "it lacks its capital, and no more";
    EXPECT_EQ(language_of("h", NoteNames::english), NoteNames::german);
    EXPECT_NE(read_as("Do7", NoteNames::german).find("where it is a Latin name"), std::string::npos);
    EXPECT_EQ(language_of("Am", NoteNames::english), std::nullopt);
    EXPECT_EQ(language_of("easy F", NoteNames::english), std::nullopt);
}

TEST(Keys, AreReadInEachLanguage)
{
    EXPECT_EQ(Key::parse("H", NoteNames::german)->text(), "B");
    EXPECT_EQ(Key::parse("fis", NoteNames::german)->text(), "F#m");
    EXPECT_EQ(Key::parse("h-Moll", NoteNames::german)->text(NoteNames::german), "Hm");
    EXPECT_EQ(Key::parse("B-Dur", NoteNames::german)->text(), "Bb");
    EXPECT_EQ(Key::parse("Sol menor", NoteNames::latin)->text(), "Gm");
    EXPECT_EQ(Key::parse("Sib", NoteNames::latin)->pretty(NoteNames::latin), "Si♭");
    auto const refused = Key::parse("Fis");
    ASSERT_FALSE(refused);
    EXPECT_NE(refused.error().what.find("as a German name it is \"F#\""), std::string::npos) << refused.error().what;
    EXPECT_FALSE(Key::parse("C7"));
    EXPECT_FALSE(Key::parse("N.C."));
    EXPECT_FALSE(Key::parse("Csus4"));
}

// Spellings of qualities that people use (common practice, no published source).
constexpr Meant kSpellings[] = {
    {"Cmj7", "Cmaj7"},
    {"CMJ7", "Cmaj7"},
    {"Cj7", "Cmaj7"},
    {"C7M", "Cmaj7"},
    {"C7maj", "Cmaj7"},
    {"Cm7M", "CmMaj7"},
    {"C7M(9)", "Cmaj9"},
    {"Am/maj7", "AmMaj7"},
    {"Am/M7", "AmMaj7"},
    {"Cmin/maj7", "CmMaj7"},
    {"C7/9", "C9"},
    {"C7/b9", "C7b9"},
    {"C7/13", "C7add13"},
    {"C/9", "Cadd9"},
    {"Am7/11", "Am7add11"},
    {"Am7/b5", "Am7b5"},
    {"C6/9/E", "C6/9/E"},
    {"Gsus4/7", "G7sus4"},
    {"B flat", "Bb"},
    {"B-flat m7", "Bbm7"},
    {"Bflat", "Bb"},
    {"F sharp minor", "F#m"},
    {"E flat major seventh", "Ebmaj7"},
    {"D/F sharp", "D/F#"},
    {"F #m7", "F#m7"},
    {"C#11", "C#11"},
    {"C #11", "Cadd#11"},
    {"C⁷", "C7"},
    {"Cᵐ⁷", "Cm7"},
    {"A−7", "Am7"},
    {"A–7", "Am7"},
    {"C⌀7", "Cm7b5"},
    {"C∆", "Cmaj7"},
    {"C\u00A0m", "Cm"},
    {"Ｃ＃ｍ", "C#m"},
    {"D⁄F♯", "D/F#"},
    {"C♮", "C"},
    {" C ", "C"},
    {"C / E", "C/E"},
    {"C/e", "C/E"},
    {"G/b", "G/B"},
    {"CMAJ7", "Cmaj7"},
    {"CMIN7", "Cm7"},
    {"CSUS4", "Csus4"},
    {"Cmaj.7", "Cmaj7"},
    {"C minor 7", "Cm7"},
    {"Cmin6th", "Cm6"},
    {"C dominant seventh", "C7"},
    {"C diminished", "Cdim"},
    {"C half-diminished", "Cm7b5"},
    {"C augmented", "Caug"},
    {"Csus 2", "Csus2"},
    {"E5+", "Eaug"},
    {"E5-", "E(b5)"},
    {"E7/9-", "E7b9"},
    {"nc", "N.C."},
    {"No chord", "N.C."},
    {"Domit3", "D5"},
};

TEST(EnglishNames, AreReadInTheManySpellingsOfPlayers)
{
    for (auto const& c : kSpellings)
        EXPECT_EQ(read_as(c.written, NoteNames::english), c.meant) << c.written;
}

} // namespace
} // namespace tabard::overlay
