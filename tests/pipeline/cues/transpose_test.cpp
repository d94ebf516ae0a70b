#include "pipeline/cues/transpose.h"
#include "pipeline/cues/writer.h"

#include <string>
#include <string_view>
#include <vector>

#include <fmt/format.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace tabard::pipeline {
namespace {

using testing::ElementsAre;
using testing::HasSubstr;
using testing::IsEmpty;

LessonFile file_of(std::string text)
{
    LessonFile file;
    file.path = "lesson.json";
    file.text = std::move(text);
    file.document = parse_document(file.text).value();
    file.reading = lesson_of_document(file.document, file.text, file.path);
    for (Finding const& finding : file.reading.findings)
        ADD_FAILURE() << finding.what << "\n" << file.text;
    return file;
}

/// A lesson with one chart; `more` are members of the lesson.
LessonFile song(std::string_view bars, std::string_view more)
{
    return file_of(fmt::format(R"({{"tabard": 1, "title": "t", "footage": "f.mp4", "tempo": 60, {}
  "sections": [{{"name": "Verse", "from": 1, "bars": "{}"}}]}})",
                               more, bars));
}

std::string bars_of(JsonValue const& document) { return document.find("sections")->items[0].find("bars")->text; }

TransposeRequest to_key(std::string_view key) { return {overlay::Key::parse(key).value(), std::nullopt}; }
TransposeRequest to_capo(int capo) { return {std::nullopt, capo}; }

std::string error_of(LessonFile const& file, TransposeRequest const& request)
{
    auto const result = transpose(file, request);
    return result ? "" : result.error().what;
}

// Notes on the line of fifths: F C G D A E B, then the same with one sharp more, and to the left with flats. Moving a
// key by n fifths moves each of its notes by n places there.
std::string on_line_of_fifths(int place)
{
    int const from_f = place + 1;
    int const row = from_f >= 0 ? from_f / 7 : -((6 - from_f) / 7);
    char const accidental = row > 0 ? '#' : 'b';
    return std::string(1, "FCGDAEB"[from_f - 7 * row]) +
           std::string(static_cast<std::size_t>(std::abs(row)), accidental);
}

TEST(Transpose, MovesTheChordsOfAKeyByAsManyFifthsAsTheKey)
{
    struct Degree {
        int place;
        std::string_view kind;
    };
    constexpr Degree kDegrees[] = {{0, ""}, {2, "m"}, {4, "m7"}, {-1, "maj7"}, {1, "7"}, {3, "m"}, {5, "m7b5"}};
    auto const chords = [&](int fifths) {
        std::string text;
        for (auto const& [place, kind] : kDegrees)
            text += fmt::format("{}{}{}", text.empty() ? "" : " | ", on_line_of_fifths(place + fifths), kind);
        return text;
    };
    ASSERT_EQ(chords(0), "C | Dm | Em7 | Fmaj7 | G7 | Am | Bm7b5");
    for (int from = -7; from <= 7; ++from)
        for (int to = -7; to <= 7; ++to) {
            if (chords(from).find("bb") != std::string::npos || chords(to).find("bb") != std::string::npos)
                continue;
            auto const lesson = song(chords(from), fmt::format(R"("key": "{}",)", on_line_of_fifths(from)));
            auto const moved = transpose(lesson, to_key(on_line_of_fifths(to))).value();
            EXPECT_EQ(bars_of(moved.document), chords(to)) << on_line_of_fifths(from);
            EXPECT_EQ(moved.document.find("key")->text, on_line_of_fifths(to));
        }
}

TEST(Transpose, ThereAndBackIsTheAuthorsOwnText)
{
    constexpr std::string_view kBars =
        "|: C | G/B | Am7(b5) / F6/9 / :| x3 N.C. | % | Esus4 E+ | B\u266D | C-7 | Cmaj7/E | "
        "D7(b9,#11) | F#dim7 | A\u00F87";
    auto const lesson = song(kBars, R"("key": "C",)");
    auto const there = transpose(lesson, to_key("E")).value();
    EXPECT_EQ(
        bars_of(there.document),
        "|: E | B/D# | C#m7(b5) / A6/9 / :| x3 N.C. | % | G#sus4 G#+ | D | E-7 | Emaj7/G# | F#7(b9,#11) | A#dim7 | "
        "C#\u00F87")
        << "four fifths up: C E, G B, A C#, F A, E G#, Bb D, D F#, F# A#";
    EXPECT_EQ(there.semitones, 4);
    EXPECT_EQ(there.shapes_key, "E");
    auto const back = transpose(file_of(document_text(there.document)), to_key("C")).value();
    EXPECT_EQ(bars_of(back.document), "|: C | G/B | Am7(b5) / F6/9 / :| x3 N.C. | % | Esus4 E+ | Bb | C-7 | Cmaj7/E | "
                                      "D7(b9,#11) | F#dim7 | A\u00F87");
}

// What sounds is the shape and the capo's frets: E with a capo on 4 is shaped as C, on 2 as D, without as E.
TEST(Transpose, AnotherCapoKeepsTheSound)
{
    auto const lesson = song("C | G/B | Am", R"("key": "E", "capo": 4,)");
    auto const second = transpose(lesson, to_capo(2)).value();
    EXPECT_EQ(bars_of(second.document), "D | A/C# | Bm");
    EXPECT_EQ(second.document.find("capo")->text, "2");
    EXPECT_EQ(second.document.find("key")->text, "E");
    EXPECT_EQ(second.shapes_key, "D");
    EXPECT_EQ(bars_of(transpose(lesson, to_capo(0)).value().document), "E | B/D# | C#m");
    EXPECT_EQ(bars_of(transpose(lesson, to_capo(4)).value().document), "C | G/B | Am");
    EXPECT_EQ(bars_of(transpose(lesson, {overlay::Key::parse("G").value(), 3}).value().document), "E | B/D# | C#m")
        << "G with a capo on 3 is shaped as E";
}

TEST(Transpose, WithoutAKeyTheSpellingHasTheFewestAccidentals)
{
    EXPECT_EQ(bars_of(transpose(song("D | A | Bm", ""), to_capo(2)).value().document), "C | G | Am");
    EXPECT_EQ(bars_of(transpose(song("E | A | B7", ""), to_capo(1)).value().document), "Eb | Ab | Bb7")
        << "Eb G Bb, Ab C Eb, Bb D F Ab have six flats; D# G# A#7 have nine sharps and more";
    auto const capo = transpose(song("D", ""), to_capo(2)).value().document;
    EXPECT_EQ(capo.find("capo")->text, "2");
    EXPECT_EQ((capo.members.end() - 2)->key, "capo") << "before the sections";
}

TEST(Transpose, MovesSingleCuesAndLinesOfBarsToo)
{
    auto const file = file_of(R"({"tabard": 1, "title": "t", "footage": "f.mp4", "key": "C", "tempo": 60,
  "sections": [{"name": "Shapes", "from": 1, "show": [{"chord": "F", "text": "F is hard", "from": 2}]},
    {"name": "Verse", "from": 10, "bars": ["C |", "G7"], "note": "C"}, {"as": "Verse", "from": 30}]})");
    auto const moved = transpose(file, to_key("D")).value().document;
    auto const& sections = moved.find("sections")->items;
    EXPECT_EQ(sections[0].find("show")->items[0].find("chord")->text, "G");
    EXPECT_EQ(sections[0].find("show")->items[0].find("text")->text, "F is hard");
    EXPECT_EQ(sections[1].find("bars")->items[0].text, "D |");
    EXPECT_EQ(sections[1].find("bars")->items[1].text, "A7");
    EXPECT_EQ(sections[1].find("note")->text, "C");
    EXPECT_EQ(sections[2], file.document.find("sections")->items[2]);
}

TEST(Transpose, NamesTheAuthorsShapesThatNoChordHasNow)
{
    auto const lesson = song("C | F | G", R"("key": "C", "shapes": {"F": "xx3211", "G": "320033", "riff": "0xxxxx"},)");
    EXPECT_THAT(transpose(lesson, to_key("D")).value().own_shapes, ElementsAre("F")) << "D G A: G is there again";
    EXPECT_THAT(transpose(lesson, to_key("C")).value().own_shapes, IsEmpty());
    EXPECT_EQ(*transpose(lesson, to_key("D")).value().document.find("shapes"), *lesson.document.find("shapes"));
}

// From D to E is two half-steps: D E, F# G#, G A, A B (German H), Bm C#m, F#7 G#7; from Bb (German B) to C.
TEST(Transpose, SpeaksTheLanguageOfTheLesson)
{
    auto const moved = [](std::string_view bars, std::string_view more, overlay::Key key) {
        return bars_of(transpose(song(bars, more), {key, std::nullopt}).value().document);
    };
    auto const e = overlay::Key::parse("E").value();
    EXPECT_EQ(moved("D | D/Fis | G | A7 | h | Fis7", R"("names": "german", "key": "D",)", e),
              "E | E/Gis | A | H7 | cis | Gis7");
    EXPECT_EQ(moved("D | D/F# | A7", R"("names": "german", "key": "D",)", e), "E | E/G# | H7") << "signs stay signs";
    EXPECT_EQ(moved("B | Es | F7 | g", R"("names": "german", "key": "B",)", overlay::Key::parse("C").value()),
              "C | F | G7 | a");
    EXPECT_EQ(moved("Re | Re/Fa# | Sol | La7 | Sim", R"("names": "latin", "key": "Re",)", e),
              "Mi | Mi/Sol# | La | Si7 | Do#m");
    auto const lesson = song("H | Fis", R"("names": "german", "key": "H",)");
    auto const to_b_flat = transpose(lesson, to_key("Bb")).value();
    EXPECT_EQ(to_b_flat.document.find("key")->text, "B");
    EXPECT_EQ(to_b_flat.shapes_key, "B");
    EXPECT_EQ(bars_of(to_b_flat.document), "B | F");
}

TEST(Transpose, RefusesWhatItCannotMove)
{
    auto const names = error_of(
        song("C | riff | lick", R"("key": "C", "shapes": {"riff": "0xxxxx", "lick": "1xxxxx"},)"), to_key("D"));
    EXPECT_THAT(names, HasSubstr("line 2: 'lick' is no chord name; line 2: 'riff' is no chord name"));
    EXPECT_THAT(names, HasSubstr("name the chords, or change them by hand"));
    EXPECT_THAT(error_of(song("C | H", R"("key": "C", "shapes": {"H": "x24442"},)"), to_key("D")),
                HasSubstr("write \"names\": \"german\""));

    EXPECT_THAT(error_of(song("C", ""), to_key("D")), HasSubstr("does not say in which key it sounds"));
    EXPECT_THAT(error_of(song("C", R"("key": "C",)"), to_key("Am")), HasSubstr("ask for A"));
    EXPECT_THAT(error_of(song("Am", R"("key": "Am",)"), to_key("C")), HasSubstr("ask for Cm"));
    EXPECT_THAT(error_of(song("C | riff", R"("key": "C", "shapes": {"riff": "0xxxxx"},)"), to_key("D")),
                HasSubstr("line 2: 'riff' is no chord name"));
}

} // namespace
} // namespace tabard::pipeline
