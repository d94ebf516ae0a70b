#include "overlay/drawing/cards.h"
#include "overlay/drawing/strum_glyphs.h"

namespace tabard::overlay {

void draw_card(CardContext const& c, StrumLane const& lane)
{
    if (!shown_in(lane, c.stage.corner))
        return;
    Box const& box = c.layout.strum;
    draw_plate(c, box);
    StrumRowStyle style{c.theme.ink,    c.theme.soft_ink,  c.theme.string,
                        c.theme.accent, c.theme.on_accent, c.stage.strings};
    style.letters = has_letters(lane.pattern);
    style.least = c.least();
    style.next_stroke = lane.next_stroke;
    style.silent = lane.silent;
    draw_strum_row(c.cr, c.type, lane.pattern, lane.meter, lane.lit_step, lane.bass_string,
                   {box.x + c.u(6), box.y + c.u(4), box.width - c.u(12), box.height - c.u(8)}, style);
}

} // namespace tabard::overlay
