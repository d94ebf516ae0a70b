#pragma once
#include <array>
#include <compare>
#include <cstddef>
#include <optional>
#include <string>
#include <string_view>

namespace tabard::overlay {

/// The remainder that is never negative: mod(-1, 12) is 11.
constexpr int mod(int value, int by) { return ((value % by) + by) % by; }

/// A step from a root, counted in letters and then in half-steps away from the major scale: {3, -1} is a minor third.
/// `degree` 1..13, where 9, 11 and 13 lie above the octave.
struct Interval {
    int degree = 1;
    int alter = 0;
    friend constexpr auto operator<=>(Interval const&, Interval const&) = default;

    constexpr int semitones() const
    {
        constexpr std::array<int, 7> kMajorScale{0, 2, 4, 5, 7, 9, 11};
        return kMajorScale[static_cast<std::size_t>((degree - 1) % 7)] + 12 * ((degree - 1) / 7) + alter;
    }
    constexpr int pitch_class() const { return mod(semitones(), 12); }
    /// "b7", "5", "#11".
    std::string text() const;
};

/// A note without its octave, as it is spelled: letter 0..6 for C D E F G A B, `alter` in half-steps (-1 flat).
struct NoteName {
    int letter = 0;
    int alter = 0;
    friend constexpr auto operator<=>(NoteName const&, NoteName const&) = default;

    constexpr int pitch_class() const { return mod(Interval{letter + 1, alter}.semitones(), 12); }
    /// The note `interval` above, spelled by counting letters: a major third above B is D sharp, never E flat.
    NoteName up(Interval interval) const;
    NoteName down(Interval interval) const;
    /// The simple interval (degree 1..7) from this note up to `higher`, as both are spelled.
    Interval interval_to(NoteName higher) const;
    /// The same sound with at most one accidental.
    NoteName simplified() const;
    std::string text() const;   ///< plain characters: "Bb", "F##"
    std::string pretty() const; ///< real signs: "B♭", "F𝄪"
};

/// How the accidentals of a pitch class without a key are chosen.
enum class Accidentals { sharps, flats };
NoteName note_of(int pitch_class, Accidentals accidentals);

/// Takes a note name off the front of `text`: a capital letter, then any of # b and the Unicode signs, singly or
/// doubled. None where `text` does not begin with a letter A..G.
std::optional<NoteName> take_note(std::string_view& text);

/// Takes the accidental off the front of `text`, single or double, plain or a real sign (a natural sign too), and says
/// by how many half-steps it alters; 0 where there is none.
int take_accidental(std::string_view& text);

/// "b", "##" as real signs; the empty string for 0.
std::string pretty_accidental(int alter);

/// The name of a MIDI number in scientific pitch notation: 60 is "C4" (A4 = 69 = 440 Hz, ISO 16).
std::string pitch_text(int midi, Accidentals accidentals = Accidentals::sharps);

} // namespace tabard::overlay
