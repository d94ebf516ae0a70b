#include "overlay/drawing/chord_lettering.h"

#include <algorithm>
#include <array>

namespace tabard::overlay {
namespace {

// In parts of the root's em.
constexpr double kRaisedSize = 0.60;
constexpr double kBassSize = 0.74;
constexpr double kNarrowest = 0.80;

constexpr std::array<std::string_view, 5> kSigns{"\u266F", "\u266D", "\u266E", "\u00B0", "\u0394"};

/// Letters that stand together on one line.
struct Piece {
    std::string text;
    TextStyle style;
    double rise = 0; ///< above the baseline
    double gap = 0;  ///< before it
};

/// Length in bytes of a sign that the text face lacks, at the start of `text`; 0 if there is none.
std::size_t sign_length(std::string_view text)
{
    auto const found = std::ranges::find_if(kSigns, [&](auto sign) { return text.starts_with(sign); });
    return found == kSigns.end() ? 0 : found->size();
}

/// Adds `text` in pieces: signs are set a little smaller and higher than letters, close to them.
void add(std::vector<Piece>& pieces, std::string_view text, TextStyle style, double rise, double gap, double least)
{
    std::size_t at = 0;
    while (at < text.size()) {
        std::size_t const sign = sign_length(text.substr(at));
        std::size_t end = at + sign;
        while (sign == 0 && end < text.size() && sign_length(text.substr(end)) == 0)
            ++end;
        TextStyle piece = style;
        piece.signs = sign > 0;
        if (piece.signs)
            piece.size = std::max(piece.size * 0.92, least);
        pieces.push_back({std::string(text.substr(at, end - at)), piece, rise + (sign > 0 ? 0.06 * style.size : 0),
                          gap + (sign > 0 ? -0.01 * style.size : 0)});
        gap = 0;
        at = end;
    }
}

std::vector<Piece> pieces_of(Type const& type, ChordLabel const& label, ChordNameStyle const& style)
{
    std::vector<Piece> pieces;
    double const em = style.size;
    double const raised = std::max(em * kRaisedSize, style.least);
    double const bass = std::max(em * kBassSize, style.least);
    add(pieces, label.base, {em, style.weight, style.colour}, 0, 0, style.least);
    // The top of the raised part lines up with the top of the root.
    add(pieces, label.raised, {raised, style.weight, style.colour}, (em - raised) * type.cap_height(), 0.03 * em,
        style.least);
    if (!label.bass.empty()) {
        pieces.push_back({"/", {em * 0.92, Weight::regular, style.slash}, 0, 0.02 * em});
        add(pieces, label.bass, {bass, style.weight, style.colour}, 0, 0, style.least);
    }
    return pieces;
}

double total_width(Type const& type, std::vector<Piece> const& pieces)
{
    double width = 0;
    for (auto const& piece : pieces)
        width += piece.gap + type.width(piece.text, piece.style);
    return width;
}

} // namespace

double chord_name_width(Type const& type, ChordLabel const& label, ChordNameStyle const& style)
{
    return total_width(type, pieces_of(type, label, style));
}

double draw_chord_name(cairo_t& cr, Type const& type, ChordLabel const& label, Point start, ChordNameStyle const& style,
                       double max_width)
{
    auto const pieces = pieces_of(type, label, style);
    double const natural = total_width(type, pieces);
    double const fit = natural > 0 ? std::min(1.0, max_width / natural) : 1.0;
    double const squeeze = std::max(fit, kNarrowest);
    double const scale = fit / squeeze;
    cairo_save(&cr);
    cairo_translate(&cr, start.x, start.y);
    cairo_scale(&cr, fit, scale);
    double x = 0;
    for (auto const& piece : pieces) {
        x += piece.gap;
        type.draw(piece.text, {x, -piece.rise}, piece.style);
        x += type.width(piece.text, piece.style);
    }
    cairo_restore(&cr);
    return natural * fit;
}

bool name_fits(Type const& type, ChordLabel const& label, ChordNameStyle style, double max_width, double smallest)
{
    style.size = smallest;
    return chord_name_width(type, label, style) * kNarrowest <= max_width;
}

void draw_legible_name(cairo_t& cr, Type const& type, ChordLabel const& label, Point middle_left, ChordNameStyle style,
                       double max_width, double smallest)
{
    auto const baseline = [&] { return Point{middle_left.x, middle_left.y + style.size * type.cap_height() / 2}; };
    if (!name_fits(type, label, style, max_width, smallest)) {
        style.size = smallest;
        std::string const text = label.base + label.raised + (label.bass.empty() ? "" : "/" + label.bass);
        type.draw_fitted(text, baseline(), {smallest, style.weight, style.colour}, max_width, smallest);
        return;
    }
    while (style.size > smallest && chord_name_width(type, label, style) * kNarrowest > max_width)
        style.size = std::max(smallest, style.size - smallest / 20);
    draw_chord_name(cr, type, label, baseline(), style, max_width);
}

} // namespace tabard::overlay
