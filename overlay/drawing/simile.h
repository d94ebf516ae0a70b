#pragma once
#include "overlay/drawing/canvas.h"

namespace tabard::overlay {

/// The sign for "the bar before once more": a slanted stroke between two dots.
void draw_simile(cairo_t& cr, Box box, Colour colour);

} // namespace tabard::overlay
