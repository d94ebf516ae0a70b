#pragma once
#include "overlay/base/result.h"
#include "overlay/music/names/chord_label.h"
#include "overlay/music/names/note_names.h"
#include "overlay/music/note.h"

#include <compare>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace tabard::overlay {

/// A chord as its name says it. Two spellings of one chord ("Cø", "Cm7b5", "C-7-5") give equal values.
///
/// Contents follow MusicXML 4.0's kind-value: an 11 contains the 9, a 13 both. Tones that players leave out are
/// `optional()`: the perfect fifth, the 9 below an 11 or 13, the 11 below a 13, the third of a dominant 11, every
/// altered tone of "alt" (common practice, no published source).
struct ChordName {
    enum class Third { major, minor, second, fourth, second_and_fourth, none };
    enum class Seventh { none, minor, major, diminished };
    static constexpr int kSixNine = 69;

    bool no_chord = false; ///< "N.C.": nothing else counts
    NoteName root;
    Third third = Third::major;
    int number = 0; ///< 0 for a triad, 6, kSixNine, 7, 9, 11 or 13
    Seventh seventh = Seventh::none;
    std::vector<Interval> altered; ///< b5 #5 b9 #9 #11 b13 ..., sorted
    std::vector<int> added;        ///< degrees of add2 add4 add9 add11 add13, sorted
    std::vector<int> omitted;      ///< 3 or 5, sorted
    std::optional<NoteName> bass;  ///< after the slash
    friend auto operator<=>(ChordName const&, ChordName const&) = default;

    /// Reads the usual spellings: note, quality, slash and bass; "N.C.". With German names a small letter is a minor
    /// chord ("fis"). Fails with invalid_input, the position of the sign not understood (in characters, from 1) and the
    /// nearest name that is one, or what the name means in another language. What is read in two ways is refused with
    /// both.
    static Result<ChordName> parse(std::string_view text, NoteNames names = NoteNames::english);

    /// The one normal way to write it in plain characters: "F#m7b5", "C6/9", "D/F#". parse() gives the same chord back.
    std::string text(NoteNames names = NoteNames::english) const;
    /// The same for setting in type.
    ChordLabel label(NoteNames names = NoteNames::english) const;

    /// Root first, by degree. Empty for no_chord. The bass is not among them unless the chord has it.
    std::vector<Interval> intervals() const;
    /// Whether a player may leave this tone out and still call the chord by its name.
    bool optional(Interval interval) const;
    /// The tones as they are spelled on this root: E7#9 has an F double sharp.
    std::vector<NoteName> notes() const;
    /// The note that is to sound lowest.
    NoteName lowest() const { return bass.value_or(root); }
    /// The tone of a pitch class, spelled as in notes() or as the bass; none for a foreign pitch class.
    std::optional<NoteName> spell(int pitch_class) const;

    /// Root and bass moved by the interval between two tonics, so that a fourth degree stays a fourth degree.
    ChordName transposed(NoteName from, NoteName to) const;
};

/// The label of a name as the author wrote it: set in type where it is a chord name, with the author's spelling of its
/// notes ("Fis", "F#"), whole where it is not ("easy F").
ChordLabel label_of(std::string_view name, NoteNames names = NoteNames::english);

/// In which other language `name` is a chord name; none where it is one in `names`, or in no language.
std::optional<NoteNames> language_of(std::string_view name, NoteNames names);

} // namespace tabard::overlay
