#include "overlay/drawing/cards.h"
#include "overlay/drawing/chord_diagram.h"
#include "overlay/drawing/chord_lettering.h"

#include <fmt/format.h>

namespace tabard::overlay {
namespace {

constexpr double kNameSize = 107;  ///< em: capitals come out 7.2 % of the picture height
constexpr double kNumberSize = 34; ///< em: digits come out 2.3 % of the picture height
constexpr int kMostPips = 8;
constexpr double kPipStep = 22;

/// A diagram of fewer than six strings is narrower, so that what scales with the distance of its strings keeps its size
/// and the number of its first fret stays on the card.
double grid_width(CardContext const& c, double of_six) { return of_six * (std::min(c.stage.strings, 6) - 1) / 5; }

DiagramStyle diagram_style(CardContext const& context, FingerNumbers numbers)
{
    Theme const& theme = context.theme;
    return {theme.ink,
            theme.line,
            theme.string,
            theme.dot,
            theme.on_dot,
            theme.accent,
            Colour{theme.card.red, theme.card.green, theme.card.blue},
            context.stage.capo > 0 ? TopEdge::capo : TopEdge::nut,
            numbers,
            context.stage.left_handed,
            numbers == FingerNumbers::shown ? context.u(kNumberSize) : 0};
}

/// Where the name and the grid of the chord card stand.
struct ChordCardParts {
    Point name; ///< start of its baseline
    double name_width;
    Box grid;
};

/// Name beside the diagram.
ChordCardParts wide_parts(CardContext const& c)
{
    Box const card = c.layout.chord.inset(c.u(28));
    double const number_room = c.u(30); // for the number of the first fret, on the bass side
    double const grid_wide = grid_width(c, c.u(42) * 5);
    double const grid_x = card.right() - c.u(12) - grid_wide - (c.stage.left_handed ? number_room : 0);
    double const top = card.y + c.u(26);
    double const name_end = grid_x - c.u(24) - (c.stage.left_handed ? 0 : number_room);
    return {{card.x, card.centre_y() + c.half_capital(c.u(kNameSize))},
            name_end - card.x,
            {grid_x, top, grid_wide, card.bottom() + c.u(4) - top}};
}

/// Name above the diagram.
ChordCardParts stacked_parts(CardContext const& c)
{
    Box const& card = c.layout.chord;
    double const baseline = card.y + c.u(30) + 2 * c.half_capital(c.u(kNameSize));
    double const top = baseline + c.u(72);
    double const room = card.width - c.u(42) - c.u(70); // the first fret's number stands on the bass side
    double const grid_wide = grid_width(c, room);
    double const left = card.x + (c.stage.left_handed ? c.u(42) : c.u(70));
    Box const grid{left + (room - grid_wide) / 2, top, grid_wide, card.bottom() - c.u(30) - top};
    return {{card.x + c.u(28), baseline}, card.width - c.u(52), grid};
}

/// One pip for each beat that is left, as many as there is room for up to `end`.
void draw_pips(CardContext const& c, Point start, double end, int beats)
{
    int const most = std::clamp(static_cast<int>((end - start.x + c.u(kPipStep - 14)) / c.u(kPipStep)), 0, kMostPips);
    for (int i = 0; i < std::min(beats, most); ++i)
        circle(c.cr, {start.x + c.u(7 + kPipStep * i), start.y}, c.u(6.5));
    fill(c.cr, c.theme.accent);
}

} // namespace

void draw_card(CardContext const& c, ChordCard const& card)
{
    draw_plate(c, c.layout.chord);
    auto const parts = c.layout.wide_chord ? wide_parts(c) : stacked_parts(c);
    ChordNameStyle const style{c.u(kNameSize), Weight::bold, c.theme.ink, c.theme.soft_ink};
    draw_chord_name(c.cr, c.type, card.label, parts.name, style, parts.name_width);
    if (card.shape)
        draw_diagram(c.cr, c.type, *card.shape, {card.staying, card.anchored}, parts.grid,
                     diagram_style(c, FingerNumbers::shown));
}

void draw_card(CardContext const& c, NextChordCard const& card)
{
    Box const& box = c.layout.next;
    draw_plate(c, box);
    bool const low = box.height < c.u(120);
    double const grid_wide = grid_width(c, c.u(low ? 68 : 86));
    double const grid_height = box.height - c.u(low ? 38 : 56);
    Box const grid{box.right() - c.u(26) - grid_wide, box.y + c.u(low ? 26 : 36), grid_wide, grid_height};
    double const left = box.x + c.u(28);
    double const name_width = grid.x - c.u(34) - left;
    TextStyle const label{c.u(24), Weight::medium, c.theme.soft_ink};
    double const size = c.u(low ? 44 : 60);
    double const label_baseline = box.y + c.u(low ? 30 : 40);
    double const name_baseline = label_baseline + c.u(low ? 14 : 20) + size * c.type.cap_height();
    c.type.draw("Next", {left, label_baseline}, label);
    draw_chord_name(c.cr, c.type, card.label, {left, name_baseline},
                    {size, Weight::bold, c.theme.ink, c.theme.soft_ink}, name_width);
    if (card.beats_left > 0)
        draw_pips(
            c,
            {low ? left + c.u(72) : left, low ? label_baseline - c.half_capital(label.size) : name_baseline + c.u(27)},
            grid.x - c.u(13), card.beats_left);
    if (card.shape)
        draw_diagram(c.cr, c.type, *card.shape, {card.staying, card.anchored}, grid,
                     diagram_style(c, FingerNumbers::left_out));
}

} // namespace tabard::overlay
