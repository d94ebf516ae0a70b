#pragma once
#include "overlay/base/result.h"
#include "overlay/music/note.h"

#include <optional>
#include <string>
#include <string_view>

namespace tabard::overlay {

/// In which language notes are named. `german`: C D E F G A H, where B is the B flat of English names, with "is" and
/// "es" ("Fis", "As") or with signs ("F#", "Eb"). `latin`: Do Re Mi Fa Sol La Si with signs or words ("Fa#", "Si
/// bemol").
enum class NoteNames { english, german, latin };

/// "english", "german", "latin". Fails with invalid_input, listing them.
Result<NoteNames> note_names_called(std::string_view word);
std::string_view word_of(NoteNames names);
/// "an English", "a German", "a Latin".
std::string_view with_article(NoteNames names);

/// A note as it was found in a text.
struct WrittenNote {
    NoteName note;
    bool small = false; ///< written with a small letter: "fis"
};

/// Takes a note off the front of `text`: "Bb", "B flat"; "Fis", "H"; "Sol#", "Si bemol". None where none stands there.
std::optional<WrittenNote> take_note(std::string_view& text, NoteNames names);

/// The note in plain characters, as take_note() reads it: "Bb", "B", "Sib".
std::string text_of(NoteName note, NoteNames names);
/// The same with real signs, where it has signs: "B♭", "B", "Si♭".
std::string pretty_of(NoteName note, NoteNames names);

} // namespace tabard::overlay
