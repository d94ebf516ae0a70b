#pragma once
#include "overlay/drawing/canvas.h"

#include <map>
#include <memory>
#include <string>
#include <string_view>
#include <tuple>
#include <vector>

#include <pango/pangocairo.h>

// Setting type with Pango. For overlay/drawing and overlay/sheet only.
namespace tabard::overlay {

enum class Weight { regular = 400, medium = 500, semibold = 600, bold = 700 };

struct TextStyle {
    double size = 12; ///< of the em, in drawing units
    Weight weight = Weight::regular;
    Colour colour;
    bool signs = false; ///< for accidentals and other signs alone: a face that has them
};

/// Type on one Cairo context. Glyphs are placed without hinting, so the same text measures alike at every scale.
class Type {
public:
    /// `family` first, then faces that have the accidentals and other scripts. Borrows `cr`.
    Type(cairo_t& cr, std::string const& family);

    double width(std::string_view text, TextStyle const& style) const;
    /// Draws one line with its baseline starting at `start`; `squeeze` below 1 narrows the letters.
    void draw(std::string_view text, Point start, TextStyle const& style, double squeeze = 1) const;
    /// Draws one line with its letters' middle at `centre`: capitals and digits look centred there.
    void draw_centred(std::string_view text, Point centre, TextStyle const& style) const;
    /// Draws one line that ends at `max_width`: narrowed a little if need be, then set smaller (not below `least`),
    /// then cut with an ellipsis.
    void draw_fitted(std::string_view text, Point start, TextStyle const& style, double max_width,
                     double least = 0) const;

    /// Height of a capital, as a part of the em.
    double cap_height() const { return m_cap_height; }

    /// False once a face could not be read from its file: its letters came out as boxes.
    bool fonts_were_read() const { return m_fonts_read; }

    /// How many letters of `text` no installed font has: they come out as boxes.
    int missing_letters(std::string_view text) const;

    struct Paragraph {
        std::shared_ptr<PangoLayout> layout;
        double scale = 1; ///< of what the layout says
        double width = 0;
        double height = 0;
    };
    /// Text wrapped to `max_width`, at most `max_lines` lines (an ellipsis shows that there was more).
    Paragraph paragraph(std::string_view text, TextStyle const& style, double max_width, int max_lines,
                        double line_spacing = 1.2) const;
    void draw(Paragraph const& paragraph, Point top_left, Colour colour) const;

private:
    /// Set once, and drawn as often as it comes.
    struct Line {
        std::shared_ptr<PangoLayout> layout;
        double width = 0;    ///< in ems
        double baseline = 0; ///< below its top, in the layout's pixels
    };
    Line const& line(std::string_view text, TextStyle const& style) const;
    std::shared_ptr<PangoLayout> new_layout(std::string_view text, TextStyle const& style) const;
    double measure_cap_height() const;
    void show(PangoLayout* layout, Colour colour, Letters letters) const;
    void note_unread_fonts(PangoLayout* layout) const;
    void embolden(PangoLayout* layout, TextStyle const& style) const;

    cairo_t& m_cr;
    std::string m_families;
    std::shared_ptr<PangoContext> m_context;
    mutable std::map<std::tuple<std::string, Weight, bool>, Line> m_lines;
    mutable bool m_fonts_read = true;
    double m_cap_height;
};

} // namespace tabard::overlay
