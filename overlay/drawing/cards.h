#pragma once
#include "overlay/drawing/canvas.h"
#include "overlay/drawing/layout.h"
#include "overlay/drawing/scene.h"
#include "overlay/drawing/theme.h"
#include "overlay/drawing/type.h"

// How each kind of layer is drawn into its region. For painter.cpp only.
namespace tabard::overlay {

/// What every card needs to know. `cr` draws in display pixels.
struct CardContext {
    cairo_t& cr;
    Type const& type;
    Theme const& theme;
    Layout const& layout;
    Stage const& stage;
    double u(double units) const { return units * layout.unit; } ///< to display pixels
    double least() const { return u(kLeastEm); }
    double played() const { return u(kPlayedEm); }
    /// Half a capital's height: from a line's middle to its baseline.
    double half_capital(double size) const { return size * type.cap_height() / 2; }
};

void draw_card(CardContext const& context, ChordCard const& card);
void draw_card(CardContext const& context, NextChordCard const& card);
void draw_card(CardContext const& context, CapoLine const& line);
void draw_card(CardContext const& context, StrumLane const& lane);
void draw_card(CardContext const& context, BarRibbon const& ribbon);
void draw_card(CardContext const& context, SectionBanner const& banner);
void draw_card(CardContext const& context, CountIn const& count);
void draw_card(CardContext const& context, TextCard const& card);

/// A text as its card shows it: set smaller until it fits, and what is longer still ends with an ellipsis.
struct SetText {
    Type::Paragraph paragraph;
};
SetText set_text(CardContext const& context, TextCard const& card);

/// Whether a chord's name is whole on both cards that show chords, at kPlayedEm at least.
bool names_fit(CardContext const& context, ChordLabel const& label);

/// The plate under a card.
void draw_plate(CardContext const& context, Box box);

/// A box of the given size in `region`, against the edges of the picture that the region is nearest to.
Box anchored(CardContext const& context, Box region, double width, double height);

} // namespace tabard::overlay
