#pragma once
#include "overlay/ass/card_scribe.h"
#include "overlay/drawing/canvas.h"

#include <set>
#include <string>
#include <string_view>
#include <vector>

struct _PangoGlyphString;

// For this folder only.
namespace tabard::overlay {

/// Notes down what is drawn as elements, in device units of the context.
class Recorder : public VectorTarget {
public:
    explicit Recorder(FilmFonts& fonts) : m_fonts(fonts) {}

    void fill(cairo_t& cr, Colour colour) override;
    void stroke(cairo_t& cr, Colour colour, double width) override;
    void show(cairo_t& cr, _PangoLayout& text, Colour colour, Letters letters) override;

    std::vector<CardElement> take();
    std::set<std::string> const& lost_letters() const { return m_lost; } ///< as CardScribe's

private:
    void add(CardElement element, PathBounds bounds);
    void add_area(VectorPath area, Colour colour);
    void add_outlines(cairo_t& cr, _PangoFont* font, _PangoGlyphString* glyphs, Point start, std::string_view words,
                      Colour colour);

    FilmFonts& m_fonts;
    std::vector<CardElement> m_elements;
    std::set<std::string> m_lost;
};

} // namespace tabard::overlay
