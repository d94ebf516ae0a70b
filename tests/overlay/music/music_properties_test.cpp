// Laws that hold for every value.
#include "overlay/music/musicxml/musicxml.h"
#include "overlay/music/names/chord_name.h"
#include "overlay/music/patterns/strum_pattern.h"
#include "overlay/music/shapes/shape.h"
#include "overlay/music/shapes/shape_search.h"
#include "overlay/music/shapes/shape_verdict.h"
#include "overlay/music/shapes/text_diagram.h"

#include <optional>
#include <string>
#include <vector>

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

namespace tabard::overlay {
namespace {

/// A name put together from every part that names have.
rc::Gen<std::string> chord_names()
{
    using rc::gen::element;
    auto const text = [](auto... parts) { return element<std::string>(parts...); };
    return rc::gen::apply([](std::string root, std::string accidental, std::string family, std::string number,
                             std::string altered, std::string added,
                             std::string bass) { return root + accidental + family + number + altered + added + bass; },
                          text("C", "D", "E", "F", "G", "A", "B"), text("", "#", "b", "♯", "♭", "##", "bb", "𝄪"),
                          text("", "m", "-", "maj", "M", "△", "dim", "o", "ø", "aug", "+", "mMaj", "min"),
                          text("", "5", "6", "7", "9", "11", "13", "6/9", "7sus4", "sus2", "sus", "7alt"),
                          text("", "b5", "#5", "b9", "#9", "#11", "b13", "(b9,#11)", "(b5)", "-9", "+5"),
                          text("", "add9", "add11", "(13)", "no3", "no5", "omit5", "addb9"),
                          text("", "/E", "/F#", "/Bb", "/B𝄫"));
}

RC_GTEST_PROP(ChordName, ReadingWhatItPrintsGivesTheSameChord, ())
{
    auto const written = *chord_names();
    auto const chord = ChordName::parse(written);
    RC_PRE(chord.has_value());
    auto const again = ChordName::parse(chord->text());
    if (!again)
        RC_FAIL(written + " prints " + chord->text() + ": " + again.error().what);
    if (*again != *chord)
        RC_FAIL(written + " prints " + chord->text() + ", which reads as " + again->text());
}

RC_GTEST_PROP(ChordName, MusicXmlSaysEveryChordThatANameSays, ())
{
    auto const chord = ChordName::parse(*chord_names());
    RC_PRE(chord.has_value());
    auto const back = from_musicxml(to_musicxml({{*chord, std::nullopt}}, Tuning{}));
    if (!back)
        RC_FAIL(chord->text() + ": " + back.error().what);
    // A chord may come back under another of its names; its tones are the same.
    RC_ASSERT(back->at(0)->chord.notes() == chord->notes());
    RC_ASSERT(back->at(0)->chord.bass == chord->bass);
}

RC_GTEST_PROP(NoteName, MovingUpAndDownByAnIntervalChangesNothing, ())
{
    NoteName const note{*rc::gen::inRange(0, 7), *rc::gen::inRange(-1, 2)};
    Interval const interval{*rc::gen::inRange(1, 14), *rc::gen::inRange(-2, 3)};
    RC_ASSERT(note.up(interval).down(interval) == note);
    RC_ASSERT(note.up(interval).pitch_class() == mod(note.pitch_class() + interval.semitones(), 12));
    RC_ASSERT(note.simplified().pitch_class() == note.pitch_class());
}

RC_GTEST_PROP(Shape, ReadingWhatItPrintsGivesTheSameShape, ())
{
    auto const strings = *rc::gen::inRange<std::size_t>(3, 9);
    Shape shape{*rc::gen::container<std::vector<int>>(strings, rc::gen::inRange(-1, 25)), {}};
    if (*rc::gen::arbitrary<bool>())
        shape.fingers = *rc::gen::container<std::vector<int>>(strings, rc::gen::inRange(0, 6));
    RC_ASSERT(*Shape::parse(shape.frets_text(), shape.fingers_text()) == shape);
    for (auto const& barre : shape.barres()) {
        RC_ASSERT(barre.first_string < barre.last_string);
        RC_ASSERT(shape.frets[static_cast<std::size_t>(barre.first_string)] == barre.fret);
    }
    RC_ASSERT(mirrored(mirrored(shape)) == shape);
    RC_ASSERT(mirrored(shape).barres().size() == shape.barres().size());
    RC_ASSERT(text_diagram(shape, true) == text_diagram(mirrored(shape)));
    RC_ASSERT(text_diagram(shape).size() == text_diagram(shape, true).size());
}

RC_GTEST_PROP(StrumPattern, ReadingWhatItPrintsGivesTheSamePattern, ())
{
    auto const step = rc::gen::element<std::string>("-", "D", "U", "Dp", "Ui", "Dx", "U>", "Dpx>", "6p", "3i+2m", "Rp",
                                                    "R", "12a", "6p+1ax", "5>");
    auto const words = *rc::gen::nonEmpty(rc::gen::container<std::vector<std::string>>(step));
    RC_PRE(words.size() <= 64u);
    std::string text;
    for (auto const& word : words)
        text += (text.empty() ? "" : " ") + word;
    auto const pattern = *StrumPattern::parse(text);
    RC_ASSERT(pattern.text() == text);
    RC_ASSERT(*StrumPattern::parse(pattern.text()) == pattern);
}

RC_GTEST_PROP(ShapeSearch, FindsOnlyShapesThatFitTheNameAndTheHand, ())
{
    auto const chord = ChordName::parse(*chord_names());
    RC_PRE(chord.has_value());
    auto const tuning = *Tuning::parse(*rc::gen::element<std::string>("standard", "DADGAD", "open G", "E1 A1 D2 G2",
                                                                      "G4 C4 E4 A4", "B1 E2 A2 D3 G3 B3 E4"));
    auto const shapes = find_shapes(*chord, tuning, 5);
    RC_PRE(!shapes.empty());
    for (auto const& found : shapes) {
        auto const verdict = judge(found.shape, *chord, tuning);
        if (!verdict.fits())
            RC_FAIL(chord->text() + " " + found.shape.frets_text() + ": " + text_of(verdict, *chord, tuning));
        RC_ASSERT(found.shape.fingers.size() == found.shape.frets.size());
    }
}

} // namespace
} // namespace tabard::overlay
