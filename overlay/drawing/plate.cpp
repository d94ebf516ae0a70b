#include "overlay/drawing/cards.h"

namespace tabard::overlay {

void draw_plate(CardContext const& context, Box box)
{
    double const radius = context.u(context.theme.corner_radius);
    round_box(context.cr, box, radius);
    fill(context.cr, context.theme.card);
    double const width = context.u(1.5);
    round_box(context.cr, box.inset(width / 2), radius - width / 2);
    stroke(context.cr, context.theme.edge, width);
}

} // namespace tabard::overlay
