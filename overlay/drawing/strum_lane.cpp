#include "overlay/drawing/cards.h"
#include "overlay/drawing/strum_glyphs.h"

#include <algorithm>

namespace tabard::overlay {

void draw_card(CardContext const& c, StrumLane const& lane)
{
    Box const& box = c.layout.strum;
    draw_plate(c, box);
    StrumRowStyle const style{c.theme.ink,    c.theme.soft_ink,  c.theme.string,
                              c.theme.accent, c.theme.on_accent, c.stage.strings};
    draw_strum_row(c.cr, c.type, lane.pattern, lane.meter, lane.lit_step, lane.bass_string,
                   {box.x + c.u(20), box.y + c.u(10), box.width - c.u(40), box.height - c.u(20)}, style);
}

} // namespace tabard::overlay
