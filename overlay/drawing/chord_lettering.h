#pragma once
#include "overlay/drawing/type.h"
#include "overlay/music/names/chord_label.h"

// Chord names in type: real accidentals, small raised extensions, the bass after a lighter slash.
namespace tabard::overlay {

struct ChordNameStyle {
    double size = 12; ///< em of the root, drawing units
    Weight weight = Weight::bold;
    Colour colour;
    Colour slash;
    double least = 0; ///< em: no part of the name is set smaller than this in proportion to `size`
};

double chord_name_width(Type const& type, ChordLabel const& label, ChordNameStyle const& style);

/// Draws the name with the baseline of its root starting at `start`, at most `max_width` wide: letters are narrowed a
/// little if need be, then the whole name is made smaller. Gives the width that was used.
double draw_chord_name(cairo_t& cr, Type const& type, ChordLabel const& label, Point start, ChordNameStyle const& style,
                       double max_width);

/// Draws the name, its capitals' middle at `middle_left`: at style.size if it fits, narrowed or smaller if not, but not
/// below `smallest`; a name that is too wide even so ends with an ellipsis.
void draw_legible_name(cairo_t& cr, Type const& type, ChordLabel const& label, Point middle_left, ChordNameStyle style,
                       double max_width, double smallest);

/// Whether it would not.
bool name_fits(Type const& type, ChordLabel const& label, ChordNameStyle style, double max_width, double smallest);

} // namespace tabard::overlay
