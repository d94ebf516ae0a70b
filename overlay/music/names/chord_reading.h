#pragma once
#include "overlay/music/names/chord_name.h"
#include "overlay/music/names/note_names.h"

#include <optional>
#include <string>
#include <string_view>

// Part of ChordName::parse() and label_of(). For the files of names/ only.
namespace tabard::overlay {

/// What was read of a name in plain signs. `not_read` is where it stopped; `chord` is there if the text is a name to
/// its end.
struct ChordReading {
    std::optional<ChordName> chord;
    std::string_view not_read;
    std::string_view root; ///< as written
    std::string_view bass; ///< as written, without the slash
};

ChordReading read_chord(std::string_view plain, NoteNames names);

/// "Am7" for "am7": the name that only lacks its capital letter.
std::optional<std::string> with_capital(std::string_view plain, NoteNames names);

/// "; did you mean ...", or what else helps the author of a name that was not read; empty where nothing does.
std::string advice_for(std::string_view plain, ChordReading const& reading, NoteNames names);

} // namespace tabard::overlay
