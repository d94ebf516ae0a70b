#include "overlay/music/names/chord_name.h"

#include "overlay/music/names/chord_reading.h"
#include "overlay/music/names/plain_signs.h"
#include "overlay/music/sort_once.h"

#include <algorithm>

namespace tabard::overlay {
namespace {

using Third = ChordName::Third;
using Seventh = ChordName::Seventh;

constexpr Interval kFlatFive{5, -1};
constexpr Interval kSharpFive{5, 1};

template <class Range, class Value>
bool contains(Range const& range, Value const& value)
{
    return std::ranges::find(range, value) != std::ranges::end(range);
}

bool alters(ChordName const& chord, int degree)
{
    return std::ranges::any_of(chord.altered, [&](Interval interval) { return interval.degree == degree; });
}

/// b5 and no other fifth.
bool only_fifth(ChordName const& chord, Interval fifth)
{
    return std::ranges::count_if(chord.altered, [](Interval interval) { return interval.degree == 5; }) == 1 &&
           contains(chord.altered, fifth);
}

bool is_diminished(ChordName const& chord)
{
    return chord.third == Third::minor && only_fifth(chord, kFlatFive) &&
           (chord.number == 0 || chord.seventh == Seventh::diminished);
}

bool is_augmented(ChordName const& chord)
{
    return chord.third == Third::major && only_fifth(chord, kSharpFive) && chord.number == 0;
}

std::vector<Interval> const& alt_tones()
{
    static std::vector<Interval> const tones{{9, -1}, {9, 1}, {11, 1}, {13, -1}};
    return tones;
}

bool is_alt(ChordName const& chord)
{
    return chord.third == Third::major && chord.seventh == Seventh::minor && chord.number == 7 &&
           chord.altered == alt_tones() && chord.added.empty() && chord.omitted == std::vector{5};
}

/// How an accidental is printed: "b", "##", or with real signs.
using AccidentalText = std::string (*)(int alter);

std::string plain_accidental(int alter)
{
    return Interval{1, alter}.text().substr(0, std::size_t(alter < 0 ? -alter : alter));
}

std::string sus_text(Third third)
{
    switch (third) {
    case Third::second:
        return "sus2";
    case Third::fourth:
        return "sus4";
    case Third::second_and_fourth:
        return "sus2sus4";
    case Third::major:
    case Third::minor:
    case Third::none:
        break;
    }
    return "";
}

/// What stands on the line behind the root.
std::string family_text(ChordName const& chord)
{
    if (is_diminished(chord))
        return "dim";
    if (is_augmented(chord))
        return "aug";
    return chord.third == Third::minor ? "m" : "";
}

std::string number_text(ChordName const& chord, std::string_view major)
{
    if (chord.number == 0)
        return chord.third == Third::none ? "5" : "";
    if (chord.number == ChordName::kSixNine)
        return "6/9";
    return (chord.seventh == Seventh::major ? std::string(major) : "") + std::to_string(chord.number);
}

/// What is raised: number, suspension, alterations, additions, omissions.
std::string extension_text(ChordName const& chord, std::string_view major, AccidentalText accidental)
{
    if (is_alt(chord))
        return "7alt";
    bool const fifth_is_said = is_diminished(chord) || is_augmented(chord);
    std::string text = number_text(chord, major) + sus_text(chord.third);
    for (auto const interval : chord.altered) {
        auto const tone = accidental(interval.alter) + std::to_string(interval.degree);
        if (interval.degree == 5)
            text += fifth_is_said ? "" : chord.number == 0 ? "(" + tone + ")" : tone;
        else
            text += (chord.number == 0 ? "add" : "") + tone;
    }
    for (int const degree : chord.added)
        text += "add" + std::to_string(degree);
    for (int const degree : chord.omitted)
        text += "no" + std::to_string(degree);
    return text;
}

/// Double accidentals get their own sign, because "Abb5" is an A flat with a flat fifth.
std::string root_text(NoteName note, NoteNames names)
{
    return note.alter * note.alter > 1 ? pretty_of(note, names) : text_of(note, names);
}

/// A note as the author wrote it, with real signs: "F♯", "Fis". What was written with a word or a small letter is
/// written anew.
std::string pretty_written(std::string_view written, NoteName note, NoteNames names)
{
    if (names == NoteNames::english)
        return note.pretty();
    std::string pretty;
    for (std::size_t i = 0; i < written.size(); ++i)
        pretty += written[i] == '#' ? "♯" : written[i] == 'b' && i > 0 ? "♭" : std::string(1, written[i]);
    bool const as_usual = written.size() <= 5 && written.find(' ') == std::string_view::npos &&
                          (written.front() < 'a' || written.front() > 'z');
    return as_usual ? pretty : pretty_of(note, names);
}

std::vector<Interval> third_intervals(Third third)
{
    switch (third) {
    case Third::major:
        return {{3, 0}};
    case Third::minor:
        return {{3, -1}};
    case Third::second:
        return {{2, 0}};
    case Third::fourth:
        return {{4, 0}};
    case Third::second_and_fourth:
        return {{2, 0}, {4, 0}};
    case Third::none:
        break;
    }
    return {};
}

} // namespace

std::string ChordName::text(NoteNames names) const
{
    if (no_chord)
        return "N.C.";
    std::string text = root_text(root, names) + family_text(*this);
    text += extension_text(*this, third == Third::minor ? "Maj" : "maj", plain_accidental);
    return bass ? text + "/" + text_of(*bass, names) : text;
}

ChordLabel ChordName::label(NoteNames names) const
{
    if (no_chord)
        return {"N.C.", "", ""};
    return {pretty_of(root, names) + family_text(*this), extension_text(*this, "maj", pretty_accidental),
            bass ? pretty_of(*bass, names) : ""};
}

std::vector<Interval> ChordName::intervals() const
{
    if (no_chord)
        return {};
    std::vector<Interval> tones{{1, 0}};
    auto const add_unless_altered = [&](int degree) {
        if (!alters(*this, degree))
            tones.push_back({degree, 0});
    };
    for (auto const tone : third_intervals(third))
        tones.push_back(tone);
    add_unless_altered(5);
    if (number == 6 || number == kSixNine)
        tones.push_back({6, 0});
    if (seventh != Seventh::none)
        tones.push_back({7, seventh == Seventh::major ? 0 : seventh == Seventh::minor ? -1 : -2});
    for (int const degree : {9, 11, 13})
        if (number >= degree && (number != kSixNine || degree == 9))
            add_unless_altered(degree);
    tones.insert(tones.end(), altered.begin(), altered.end());
    for (int const degree : added)
        tones.push_back({degree, 0});
    std::erase_if(tones, [&](Interval tone) { return contains(omitted, tone.degree); });
    sort_once(tones);
    return tones;
}

bool ChordName::optional(Interval interval) const
{
    if (is_alt(*this))
        return contains(alt_tones(), interval);
    bool const eleven = number == 11;
    bool const thirteen = number == 13;
    if (interval == Interval{5, 0})
        return third != Third::none;
    if (interval == Interval{9, 0})
        return eleven || thirteen;
    if (interval == Interval{11, 0})
        return thirteen;
    return interval == Interval{3, 0} && eleven;
}

std::vector<NoteName> ChordName::notes() const
{
    std::vector<NoteName> notes;
    for (auto const interval : intervals())
        notes.push_back(root.up(interval));
    return notes;
}

std::optional<NoteName> ChordName::spell(int pitch_class) const
{
    int const wanted = mod(pitch_class, 12);
    if (no_chord)
        return std::nullopt;
    for (auto const note : notes())
        if (note.pitch_class() == wanted)
            return note;
    return bass && bass->pitch_class() == wanted ? bass : std::nullopt;
}

ChordName ChordName::transposed(NoteName from, NoteName to) const
{
    auto const interval = from.interval_to(to);
    ChordName chord = *this;
    chord.root = root.up(interval);
    if (bass)
        chord.bass = bass->up(interval);
    return chord;
}

ChordLabel label_of(std::string_view name, NoteNames names)
{
    auto const plain = with_plain_signs(name);
    auto const reading = read_chord(plain, names);
    if (!reading.chord)
        return {std::string(name), "", ""};
    auto const& chord = *reading.chord;
    auto label = chord.label(names);
    if (chord.no_chord)
        return label;
    label.base = pretty_written(reading.root, chord.root, names) + family_text(chord);
    if (chord.bass)
        label.bass = pretty_written(reading.bass, *chord.bass, names);
    return label;
}

std::optional<NoteNames> language_of(std::string_view name, NoteNames names)
{
    auto const plain = with_plain_signs(name);
    if (read_chord(plain, names).chord || with_capital(plain, names))
        return std::nullopt;
    for (auto const other : {NoteNames::english, NoteNames::german, NoteNames::latin})
        if (other != names && read_chord(plain, other).chord)
            return other;
    return std::nullopt;
}

} // namespace tabard::overlay
