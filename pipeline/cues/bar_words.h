#pragma once
#include "overlay/music/meter.h"
#include "overlay/music/names/note_names.h"

#include <cstddef>
#include <functional>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace tabard::pipeline {

/// A word of a bar as a chart writes it: a chord, `/` (one or more), `%`, or `|` where a sign stands for a bar line.
struct BarWord {
    std::string text;
    std::size_t at = 0; ///< its first byte in the chart's text
};

/// The words of one bar, and the first that was not written as a chart has it ("E," "[Am]" "-").
struct BarWords {
    std::vector<BarWord> words;
    std::optional<BarWord> slip; ///< as written
    std::string times;           ///< "x2", where a count stands in the bar without a repeat before it
};

/// Whether the author gave a shape to a name that need not be a chord's.
using KnownName = std::function<bool(std::string_view name)>;

/// Reads what people put between and around chords (commas, dashes, brackets, signs that look like | and /) as the
/// nearest thing that a chart knows. A word that nothing can be made of stays as it is and is no slip.
BarWords read_bar_words(std::vector<BarWord> const& written, overlay::Meter meter, KnownName const& known,
                        overlay::NoteNames names);

/// Beats of a chord each in a bar that is written without `/`: all alike; empty where the bar does not divide so.
std::vector<int> even_beats(std::size_t chords, overlay::Meter meter);

/// The bar with its beats adding up, as near to what was written as may be: "C / G Am", or with a | where the next bar
/// begins. None where no such reading is near.
std::optional<std::string> bar_written_right(std::vector<BarWord> const& words, overlay::Meter meter);

} // namespace tabard::pipeline
