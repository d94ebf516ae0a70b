#include "overlay/drawing/cards.h"
#include "overlay/drawing/chord_diagram.h"
#include "overlay/drawing/chord_lettering.h"
#include "overlay/drawing/pulse_row.h"

#include <algorithm>

#include <fmt/format.h>

namespace tabard::overlay {
namespace {

// In units.
constexpr double kNameSize = 24;
constexpr double kBesideSize = 36;  ///< beside the diagram
constexpr double kSpacing = 15;     ///< of the strings
constexpr double kBassSide = 22.5;  ///< of the grid: the number of its first fret, or of the capo
constexpr double kTrebleSide = 9.5; ///< half a dot and the card's own margin
constexpr double kNextPad = 6;

DiagramStyle diagram_style(CardContext const& context, FingerNumbers numbers)
{
    Theme const& theme = context.theme;
    DiagramStyle style{theme.ink,
                       theme.line,
                       theme.string,
                       theme.dot,
                       theme.on_dot,
                       theme.accent,
                       Colour{theme.card.red, theme.card.green, theme.card.blue},
                       context.stage.capo > 0 ? TopEdge::capo : TopEdge::nut,
                       numbers,
                       context.stage.left_handed};
    style.number_size = style.fret_number_size = context.played();
    style.capo_fret = context.stage.capo;
    style.capo = theme.capo;
    style.on_capo = theme.on_capo;
    return style;
}

ChordNameStyle name_style(CardContext const& c, double size)
{
    return {size, Weight::bold, c.theme.ink, c.theme.soft_ink, c.least()};
}

/// A chord name as large as `size` (in units) where there is room, its capitals' middle at `middle`.
void draw_name(CardContext const& c, ChordLabel const& label, Point middle_left, double size, double room)
{
    draw_legible_name(c.cr, c.type, label, middle_left, name_style(c, c.u(size)), room, c.played());
}

/// Where the name and the grid of the chord card stand.
struct ChordCardParts {
    Point name; ///< left, and the middle of its capitals
    double name_width;
    Box grid;
};

double grid_width(CardContext const& c, double spacing) { return c.u(spacing) * (c.stage.strings - 1); }

/// Name beside the diagram.
ChordCardParts wide_parts(CardContext const& c, Box const& card)
{
    double const wide = grid_width(c, kSpacing);
    double const right = c.u(c.stage.left_handed ? kBassSide : kTrebleSide);
    double const left = c.u(c.stage.left_handed ? kTrebleSide : kBassSide);
    Box const grid{card.right() - right - wide, card.y + c.u(19), wide, card.height - c.u(26)};
    double const start = card.x + c.u(9);
    return {{start, card.centre_y()}, grid.x - left - c.u(2) - start, grid};
}

/// Name above the diagram.
ChordCardParts stacked_parts(CardContext const& c, Box const& card)
{
    double const wide = grid_width(c, kSpacing);
    double const left = card.x + c.u(c.stage.left_handed ? kTrebleSide : kBassSide);
    double const room = card.width - c.u(kBassSide + kTrebleSide);
    double const top = card.y + c.u(41);
    Box const grid{left + (room - wide) / 2, top, wide, card.bottom() - c.u(7) - top};
    return {{card.x + c.u(8), card.y + c.u(15.5)}, card.width - c.u(15), grid};
}

ChordCardParts chord_parts(CardContext const& c, Box const& card)
{
    return c.layout.wide_chord ? wide_parts(c, card) : stacked_parts(c, card);
}

/// Where there is nothing to hold: the strings alone, and a word.
void draw_no_chord(CardContext const& c, Box grid)
{
    DiagramStyle style = diagram_style(c, FingerNumbers::left_out);
    style.ink = style.string = style.fret = c.theme.line;
    auto const strings = static_cast<std::size_t>(c.stage.strings);
    draw_diagram(c.cr, c.type, {std::vector<int>(strings, kMuted), {}}, {}, grid, style);
    TextStyle const words{c.played(), Weight::semibold, c.theme.ink};
    double const width = c.type.width("no chord", words);
    Box const label{grid.centre_x() - width / 2 - c.u(5), grid.centre_y() - c.u(9), width + c.u(10), c.u(18)};
    round_box(c.cr, label, c.u(4));
    fill(c.cr, c.theme.card);
    c.type.draw_centred("no chord", {grid.centre_x(), grid.centre_y()}, words);
}

/// The beats until the next chord: full steps are still to come, those that are gone are outlines. A long chord is
/// counted from its last eight beats on. Groups of an odd meter stand apart.
void draw_time_left(CardContext const& c, Box box, NextChordCard const& card)
{
    int const steps = std::clamp(card.beats, 1, kBeatsAhead);
    int const left = std::min(card.beats_left, steps);
    GroupStarts groups = 0;
    for (int i = 0; i < steps; ++i)
        groups |= (card.groups >> (steps - 1 - i) & 1U) << i;
    auto const boxes = pulse_row(box, steps, c.u(1.8), groups);
    double const line_width = c.u(0.8);
    for (int i = 0; i < steps; ++i) {
        Box const& step = boxes[static_cast<std::size_t>(i)];
        if (i < steps - left) {
            round_box(c.cr, step.inset(line_width / 2), c.u(1.6));
            stroke(c.cr, c.theme.line, line_width);
        } else {
            round_box(c.cr, step, c.u(1.6));
            fill(c.cr, c.theme.accent);
        }
    }
}

/// Says "then": a small sign that points on.
void draw_then(CardContext const& c, Point middle)
{
    cairo_move_to(&c.cr, middle.x, middle.y - c.u(3.4));
    cairo_line_to(&c.cr, middle.x + c.u(3.4), middle.y);
    cairo_line_to(&c.cr, middle.x, middle.y + c.u(3.4));
    stroke(c.cr, c.theme.soft_ink, c.u(1.6));
}

/// The small diagram beside or below the next name, and what is left for the name.
struct NextCardParts {
    Point name;
    double name_width;
    Box grid;
};

/// The next card without the time that is left.
Box below_time(CardContext const& c)
{
    Box const inner = c.layout.next.inset(c.u(kNextPad));
    double const height = c.u(c.layout.wide_chord ? 9 : 6.5);
    return {inner.x, inner.y + height, inner.width, inner.height - height};
}

/// In a low card the diagram stands beside the time that is left, not below it.
bool diagram_beside_time(CardContext const& c) { return c.layout.next.height < c.u(40); }

NextCardParts next_parts(CardContext const& c)
{
    Box const inner = below_time(c);
    Box const whole = c.layout.next.inset(c.u(kNextPad));
    bool const below = c.layout.wide_chord;
    double const top = below ? inner.y + c.u(27) : diagram_beside_time(c) ? whole.y + c.u(3) : inner.y + c.u(5);
    double const height = inner.bottom() - c.u(1) - top;
    // As wide as dots need that touch neither the next string nor the next of three frets.
    double const spacing = below ? 9 : std::clamp(height / c.layout.unit / 3, 6.0, 7.4);
    double const wide = std::min(grid_width(c, spacing), inner.width * 0.42);
    double const margin = c.u(3.2); // half a dot
    Box const grid{inner.right() - margin - wide, top, wide, height};
    double const left = inner.x + c.u(7);
    if (below)
        return {{left, inner.y + c.u(10)}, inner.right() - left, grid};
    return {{left, inner.centre_y()}, grid.x - c.u(6) - left, grid};
}

} // namespace

void draw_card(CardContext const& c, ChordCard const& card)
{
    Box const box = region_of(card, c.layout);
    draw_plate(c, box);
    auto parts = chord_parts(c, box);
    double const size = c.layout.wide_chord ? kBesideSize : kNameSize;
    if (c.layout.wide_chord) { // in the middle of its room: no gap before the diagram
        double const width = chord_name_width(c.type, card.label, name_style(c, c.u(size)));
        parts.name.x += std::max(0.0, parts.name_width - width) / 2;
        parts.name_width = std::min(parts.name_width, width + 0.01);
    }
    draw_name(c, card.label, parts.name, size, parts.name_width);
    if (card.shape)
        draw_diagram(c.cr, c.type, *card.shape, {card.staying, card.anchored}, parts.grid,
                     diagram_style(c, FingerNumbers::shown), card.coming ? &*card.coming : nullptr);
    else if (card.label.base == "N.C.")
        draw_no_chord(c, parts.grid);
}

bool names_fit(CardContext const& c, ChordLabel const& label)
{
    auto const chord = chord_parts(c, c.layout.chord);
    auto const next = next_parts(c);
    double const room = std::min(chord.name_width, next.name_width);
    return name_fits(c.type, label, name_style(c, c.played()), room, c.played());
}

void draw_card(CardContext const& c, NextChordCard const& card)
{
    draw_plate(c, c.layout.next);
    Box const whole = c.layout.next.inset(c.u(kNextPad));
    Box const inner = below_time(c);
    auto parts = next_parts(c);
    double const time_end = card.shape && diagram_beside_time(c) ? parts.grid.x - c.u(7) : whole.right();
    if (card.beats_left > 0)
        draw_time_left(c, {whole.x, whole.y, time_end - whole.x, inner.y - whole.y}, card);
    if (!card.shape)
        parts.name_width = inner.right() - parts.name.x;
    draw_then(c, {inner.x + c.u(1), parts.name.y});
    draw_name(c, card.label, parts.name, c.layout.wide_chord ? 19 : 16, parts.name_width);
    if (!card.shape)
        return;
    DiagramStyle style = diagram_style(c, FingerNumbers::left_out);
    style.least_rows = 3; // larger dots where the shape needs no fourth
    draw_diagram(c.cr, c.type, *card.shape, {card.staying, card.anchored}, parts.grid, style);
}

} // namespace tabard::overlay
