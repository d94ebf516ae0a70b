#include "overlay/drawing/cards.h"

#include <cmath>

namespace tabard::overlay {

void draw_plate(CardContext const& context, Box box)
{
    double const radius = context.u(context.theme.corner_radius * kThemeUnit);
    round_box(context.cr, box, radius);
    fill(context.cr, context.theme.card);
    double const width = context.u(0.6);
    round_box(context.cr, box.inset(width / 2), radius - width / 2);
    stroke(context.cr, context.theme.edge, width);
}

Box anchored(CardContext const& context, Box region, double width, double height)
{
    Box const& safe = context.layout.safe;
    double const room_left = region.x - safe.x;
    double const room_right = safe.right() - region.right();
    bool const as_wide = std::abs(room_left - room_right) < 1;
    bool const right = as_wide ? context.layout.from_right : room_right < room_left;
    bool const bottom = region.centre_y() > safe.centre_y();
    return {right ? region.right() - width : region.x, bottom ? region.bottom() - height : region.y, width, height};
}

} // namespace tabard::overlay
