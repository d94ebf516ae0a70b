#pragma once
#include "overlay/music/names/chord_label.h"
#include "overlay/music/names/key.h"
#include "pipeline/cues/lesson.h"

#include <optional>
#include <string>
#include <vector>

namespace tabard::pipeline {

/// A chord name of the lesson on one line with real signs: "F♯m7♭5/E".
std::string pretty_name(Lesson const& lesson, std::string_view name);

/// The key that sounds, and that of the shapes behind the capo; none where the lesson says no key that is one.
std::optional<overlay::Key> sounding_key_of(Lesson const& lesson);
std::optional<overlay::Key> shapes_key_of(Lesson const& lesson);

/// "80 beats a minute", to the nearest whole number: nobody sets a metronome finer.
std::string tempo_words(Tempo tempo);

/// "D2 A2 D3 G3 B3 E4" with real signs.
std::string tuning_words(overlay::Tuning const& tuning);

/// Names of the chords that the fretting hand plays, each once, in order of appearance.
std::vector<std::string> chord_names(Lesson const& lesson);

/// "easy", "full".
std::string level_word(Level level);

} // namespace tabard::pipeline
