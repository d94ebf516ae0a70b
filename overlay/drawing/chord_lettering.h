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
};

double chord_name_width(Type const& type, ChordLabel const& label, ChordNameStyle const& style);

/// Draws the name with the baseline of its root starting at `start`, at most `max_width` wide: letters are narrowed a
/// little if need be, then the whole name is made smaller. Gives the width that was used.
double draw_chord_name(cairo_t& cr, Type const& type, ChordLabel const& label, Point start, ChordNameStyle const& style,
                       double max_width);

} // namespace tabard::overlay
