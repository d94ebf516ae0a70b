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
    int strings = 6;     ///< drawn where the pattern plucks
    bool letters = true; ///< a row for them; where there are none, strokes may be taller
};

/// Draws `pattern` into `box`. The lit step stands on a plate of accent; an accented stroke is heavier and has the sign
/// > above. Off-beat steps stand where swing puts them.
void draw_strum_row(cairo_t& cr, Type const& type, StrumPattern const& pattern, Meter meter,
                    std::optional<int> lit_step, int bass_string, Box box, StrumRowStyle const& style);

/// Whether any step names a finger.
bool has_letters(StrumPattern const& pattern);

} // namespace tabard::overlay
