#pragma once
#include "overlay/base/result.h"
#include "overlay/music/names/note_names.h"
#include "overlay/music/note.h"

#include <compare>
#include <string>
#include <string_view>

namespace tabard::overlay {

/// A major or minor key.
struct Key {
    NoteName tonic;
    bool minor = false;
    friend auto operator<=>(Key const&, Key const&) = default;

    /// Reads "E", "F#m", "Bb minor", "C major", "C sharp minor", "B flat", and in other languages "fis", "h-Moll", "Sol
    /// mayor". Fails with invalid_input and says what a key looks like.
    static Result<Key> parse(std::string_view text, NoteNames names = NoteNames::english);
    /// Sharps (positive) or flats (negative) of the signature: A major 3, F major -1. Outside -7..7 for keys that
    /// nobody writes.
    int signature() const;
    /// The key `semitones` higher, under the name with fewer accidentals (F sharp rather than G flat, E flat minor
    /// rather than D sharp minor).
    Key transposed(int semitones) const;
    /// How this key spells a pitch class: scale tones by the signature, the others by the usual chromatic steps.
    NoteName spell(int pitch_class) const;
    std::string text(NoteNames names = NoteNames::english) const;   ///< "F#m"
    std::string pretty(NoteNames names = NoteNames::english) const; ///< "F♯m"
};

} // namespace tabard::overlay
