#include "pipeline/desk/music/own_shape.h"

#include "overlay/music/hand/hand.h"
#include "overlay/music/instrument.h"
#include "overlay/music/names/chord_name.h"
#include "overlay/music/shapes/chord_naming.h"
#include "overlay/music/shapes/fingering.h"
#include "overlay/music/shapes/shape_verdict.h"
#include "pipeline/desk/music/shape_choices.h"
#include "pipeline/publish/lesson_words.h"

#include <algorithm>

#include <fmt/format.h>

namespace tabard::pipeline {
namespace {

constexpr std::size_t kMostNames = 3;

/// The notes against the name.
void judge_notes(Lesson const& lesson, overlay::ChordName const& chord, OwnShape& own)
{
    auto const verdict = overlay::judge(own.shape, chord, *lesson.tuning);
    own.fine = own.fine && verdict.fits();
    if (!verdict.exact())
        own.what.push_back(text_of(verdict, chord, *lesson.tuning, *lesson.names));
}

void judge_in_hand(Lesson const& lesson, OwnShape& own)
{
    auto const instrument = overlay::Instrument::named(*lesson.instrument).value_or(overlay::Instrument{});
    auto const hand = overlay::judge_hand(own.shape, *lesson.tuning, instrument.scale_mm, *lesson.capo);
    own.fine = own.fine && hand.playable();
    for (overlay::HandFault const& fault : hand.faults)
        own.what.push_back(text_of(fault, own.shape));
    if (hand.reach == overlay::Reach::impossible)
        own.what.push_back(fmt::format("it spans {:.0f} mm, wider than a hand", hand.span_mm));
    else if (hand.reach == overlay::Reach::stretch)
        own.what.push_back(
            fmt::format("it needs a stretch of {} frets ({:.0f} mm)", hand.span_frets + 1, hand.span_mm));
}

} // namespace

Result<OwnShape> own_shape(Lesson const& lesson, std::string const& name, std::string const& frets,
                           std::string const& fingers, std::optional<std::size_t> section)
{
    TRY_ASSIGN(auto shape, overlay::Shape::parse(frets, fingers));
    int const strings = lesson.tuning->strings();
    if (static_cast<int>(shape.frets.size()) != strings)
        return Error{ErrorKind::invalid_input,
                     fmt::format("'{}' has {} strings, and the instrument has {}; write a fret, 0 or x for each", frets,
                                 shape.frets.size(), strings)};
    OwnShape own;
    auto const usual = overlay::assign_fingers(shape.frets);
    own.fingers = overlay::Shape{shape.frets, usual}.fingers_text();
    if (shape.fingers.empty())
        shape.fingers = usual;
    own.shape = std::move(shape);
    own.fine = std::ranges::any_of(own.shape.frets, [](int fret) { return fret != overlay::kMuted; });
    if (!own.fine)
        own.what.emplace_back("no string sounds");
    auto const chord = lesson.chord(name);
    if (own.fine && chord && !chord->no_chord)
        judge_notes(lesson, *chord, own);
    judge_in_hand(lesson, own);
    for (auto const& each : overlay::names_of(own.shape, *lesson.tuning, shapes_key_of(lesson), kMostNames))
        own.names.push_back(each.chord.text(*lesson.names));
    LessonShapes shapes(lesson);
    auto staying = staying_fingers(own.shape, chords_beside(lesson, shapes, name, section));
    own.what.insert(own.what.end(), staying.words.begin(), staying.words.end());
    return own;
}

} // namespace tabard::pipeline
