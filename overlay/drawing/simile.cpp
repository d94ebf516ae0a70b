#include "overlay/drawing/simile.h"

namespace tabard::overlay {

void draw_simile(cairo_t& cr, Box box, Colour colour)
{
    double const size = box.height;
    cairo_move_to(&cr, box.x + size * 0.06, box.bottom() - size * 0.10);
    cairo_line_to(&cr, box.x + size * 0.30, box.bottom() - size * 0.10);
    cairo_line_to(&cr, box.right() - size * 0.06, box.y + size * 0.10);
    cairo_line_to(&cr, box.right() - size * 0.30, box.y + size * 0.10);
    cairo_close_path(&cr);
    circle(cr, {box.x + size * 0.20, box.y + size * 0.28}, size * 0.105);
    circle(cr, {box.right() - size * 0.20, box.bottom() - size * 0.28}, size * 0.105);
    fill(cr, colour);
}

} // namespace tabard::overlay
