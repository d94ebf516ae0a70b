#include "overlay/drawing/cards.h"

namespace tabard::overlay {
void draw_card(CardContext const& context, ChordCard const&)
{
    draw_plate(context, context.layout.chord);
}
void draw_card(CardContext const& context, NextChordCard const&)
{
    draw_plate(context, context.layout.next);
}
void draw_card(CardContext const& context, CapoLine const&)
{
    draw_plate(context, context.layout.capo);
}
void draw_card(CardContext const& context, StrumLane const&)
{
    draw_plate(context, context.layout.strum);
}
void draw_card(CardContext const& context, BarRibbon const&)
{
    draw_plate(context, context.layout.ribbon);
}
void draw_card(CardContext const& context, SectionBanner const&)
{
    draw_plate(context, context.layout.banner);
}
void draw_card(CardContext const& context, CountIn const&)
{
    draw_plate(context, context.layout.count_in);
}
void draw_card(CardContext const& context, TextCard const&)
{
    draw_plate(context, context.layout.text);
}
} // namespace tabard::overlay
