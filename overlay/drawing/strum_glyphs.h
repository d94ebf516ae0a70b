#pragma once
#include "overlay/drawing/type.h"
#include "overlay/music/patterns/strum_pattern.h"

#include <optional>

// One bar of the playing hand in a row: arrows or plucked strings, finger letters, what is counted. For film and paper.
namespace tabard::overlay {

struct StrumRowStyle {
    Colour ink;
    Colour soft_ink;
    Colour string;
    Colour accent;
    Colour on_accent;
    int strings = 6;                               ///< drawn where the pattern plucks
    bool letters = true;                           ///< a row for them; where there are none, strokes may be taller
    double least = 0;                              ///< em in drawing units: what has no room for it is left out
    std::optional<int> next_stroke = std::nullopt; ///< underlined
    bool silent = false;                           ///< all in soft ink
};

/// How much weight a step is counted with: `strong` where a group of the meter begins (1 and 4 of six steps in 6/8 and
/// of five in 5/4; 1 2 3 4 in 4/4, where each beat is one), `pulse` on the other pulses, `between` on all else. The
/// first step of a bar is strong.
enum class Weighing { between, pulse, strong };
Weighing weighing(Meter meter, int steps, int step);

/// Draws `pattern` into `box`: finger letters in a row above the strokes, what is counted in a row below. The lit step
/// stands on a plate of accent if it sounds, in an outline if the hand only passes; an accented stroke is heavier and
/// has the sign > above. Off-beat steps stand where swing puts them.
void draw_strum_row(cairo_t& cr, Type const& type, StrumPattern const& pattern, Meter meter,
                    std::optional<int> lit_step, int bass_string, Box box, StrumRowStyle const& style);

/// Whether any step names a finger.
bool has_letters(StrumPattern const& pattern);

} // namespace tabard::overlay
