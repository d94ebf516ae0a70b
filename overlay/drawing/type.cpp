#include "overlay/drawing/type.h"

#include "overlay/drawing/fonts.h"

#include <algorithm>
#include <utility>

namespace tabard::overlay {
namespace {

constexpr double kNarrowest = 0.88; ///< letters narrowed more look squashed
constexpr double kSmallest = 0.66;  ///< text set smaller than this part of its size is cut instead
char const* const kSignFamilies = "DejaVu Sans, Symbola";

/// Pixels of em that all text is set in, whatever size it is drawn in: for each size of its own Pango would sort all
/// installed fonts anew. Nothing is hinted, so the letters are the same.
constexpr double kSetEm = 128;

double scale_of(TextStyle const& style) { return style.size / kSetEm; }

void set_width(PangoLayout* layout, TextStyle const& style, double width)
{
    pango_layout_set_width(layout, static_cast<int>(width / scale_of(style) * PANGO_SCALE));
}

struct FontOptions {
    cairo_font_options_t* const options = cairo_font_options_create();
    FontOptions()
    {
        cairo_font_options_set_antialias(options, CAIRO_ANTIALIAS_GRAY);
        cairo_font_options_set_hint_style(options, CAIRO_HINT_STYLE_NONE);
        cairo_font_options_set_hint_metrics(options, CAIRO_HINT_METRICS_OFF);
    }
    FontOptions(FontOptions const&) = delete;
    FontOptions& operator=(FontOptions const&) = delete;
    ~FontOptions() { cairo_font_options_destroy(options); }
};

double from_pango(int units) { return static_cast<double>(units) / PANGO_SCALE; }

double layout_width(PangoLayout* layout)
{
    PangoRectangle logical;
    pango_layout_get_extents(layout, nullptr, &logical);
    return from_pango(logical.width);
}

/// Fonts of musical symbols draw double accidentals as small as for a staff: in words the single one stands twice.
std::string with_legible_signs(std::string_view text)
{
    std::string result{text};
    for (auto const& [sign, twice] : {std::pair{"\U0001D12B", "\u266D\u266D"}, {"\U0001D12A", "\u266F\u266F"}})
        for (std::size_t at = result.find(sign); at != std::string::npos; at = result.find(sign, at))
            result.replace(at, 4, twice);
    return result;
}

// A face that Pango found may fail later: it opens the file when it needs it, and says so on no channel of its own.
bool was_read(PangoFont* font)
{
    if (!font || !PANGO_IS_CAIRO_FONT(font))
        return false;
    cairo_scaled_font_t* const scaled = pango_cairo_font_get_scaled_font(PANGO_CAIRO_FONT(font));
    return scaled && cairo_scaled_font_status(scaled) == CAIRO_STATUS_SUCCESS &&
           hb_face_get_glyph_count(hb_font_get_face(pango_font_get_hb_font(font))) > 0;
}

} // namespace

Type::Type(cairo_t& cr, std::string const& family)
    : m_cr(cr),
      m_families(family + ", DejaVu Sans, Noto Sans, Symbola, sans-serif"),
      m_context(pango_cairo_create_context(&cr), g_object_unref),
      m_cap_height(0)
{
    use_outlines_for_emoji();
    FontOptions const font_options;
    pango_cairo_context_set_font_options(m_context.get(), font_options.options);
    pango_cairo_context_set_resolution(m_context.get(), 72);
    pango_context_set_round_glyph_positions(m_context.get(), FALSE);
    // Cairo scales what is drawn. If Pango knew of the scale, it would space letters wrongly where pixels are not
    // square.
    pango_context_set_matrix(m_context.get(), nullptr);
    m_cap_height = measure_cap_height();
}

std::shared_ptr<PangoLayout> Type::new_layout(std::string_view text, TextStyle const& style) const
{
    std::shared_ptr<PangoLayout> layout{pango_layout_new(m_context.get()), g_object_unref};
    auto* const font = pango_font_description_from_string(style.signs ? kSignFamilies : m_families.c_str());
    pango_font_description_set_weight(font, static_cast<PangoWeight>(style.weight));
    pango_font_description_set_absolute_size(font, kSetEm * PANGO_SCALE);
    pango_layout_set_font_description(layout.get(), font);
    pango_font_description_free(font);
    std::string const set = with_legible_signs(text);
    pango_layout_set_text(layout.get(), set.data(), static_cast<int>(set.size()));
    return layout;
}

Type::Line const& Type::line(std::string_view text, TextStyle const& style) const
{
    auto const [known, is_new] = m_lines.try_emplace({std::string(text), style.weight, style.signs});
    if (is_new) {
        auto layout = new_layout(text, style);
        pango_layout_set_single_paragraph_mode(layout.get(), TRUE);
        known->second = {layout, layout_width(layout.get()) / kSetEm,
                         from_pango(pango_layout_get_baseline(layout.get()))};
    }
    return known->second;
}

double Type::measure_cap_height() const
{
    PangoRectangle ink;
    PangoLayout* const capital = line("H", {kSetEm, Weight::bold, {}}).layout.get();
    pango_layout_get_extents(capital, &ink, nullptr);
    note_unread_fonts(capital);
    return from_pango(ink.height) / kSetEm;
}

void Type::note_unread_fonts(PangoLayout* layout) const
{
    for (GSList* lines = pango_layout_get_lines_readonly(layout); lines; lines = lines->next)
        for (GSList* runs = static_cast<PangoLayoutLine*>(lines->data)->runs; runs; runs = runs->next)
            m_fonts_read = m_fonts_read && was_read(static_cast<PangoLayoutRun*>(runs->data)->item->analysis.font);
}

double Type::width(std::string_view text, TextStyle const& style) const { return line(text, style).width * style.size; }

void Type::draw(std::string_view text, Point start, TextStyle const& style, double squeeze) const
{
    auto const& [layout, width, baseline] = line(text, style);
    cairo_save(&m_cr);
    cairo_translate(&m_cr, start.x, start.y);
    cairo_scale(&m_cr, squeeze * scale_of(style), scale_of(style));
    cairo_move_to(&m_cr, 0, -baseline);
    show(layout.get(), style.colour, style.signs ? Letters::signs : Letters::words);
    if (style.signs && style.weight >= Weight::semibold)
        embolden(layout.get(), style);
    cairo_restore(&m_cr);
}

/// At the current point.
void Type::show(PangoLayout* layout, Colour colour, Letters letters) const
{
    if (VectorTarget* const target = vector_target(m_cr)) {
        target->show(m_cr, *layout, colour, letters);
    } else {
        set_colour(m_cr, colour);
        pango_cairo_show_layout(&m_cr, layout);
    }
    note_unread_fonts(layout);
}

/// The bold face draws its accidentals as thin as the regular one: an outline gives them the weight of the letters.
void Type::embolden(PangoLayout* layout, TextStyle const& style) const
{
    cairo_move_to(&m_cr, 0, -from_pango(pango_layout_get_baseline(layout)));
    pango_cairo_layout_path(&m_cr, layout);
    cairo_set_line_join(&m_cr, CAIRO_LINE_JOIN_MITER);
    stroke(m_cr, style.colour, kSetEm * 0.036);
}

void Type::draw_centred(std::string_view text, Point centre, TextStyle const& style) const
{
    draw(text, {centre.x - width(text, style) / 2, centre.y + style.size * m_cap_height / 2}, style);
}

void Type::draw_fitted(std::string_view text, Point start, TextStyle const& style, double max_width, double least) const
{
    double const natural = width(text, style);
    double const fit = natural > 0 ? std::min(1.0, max_width / natural) : 1.0;
    TextStyle smaller = style;
    smaller.size *= std::clamp(fit / kNarrowest, std::clamp(least / style.size, kSmallest, 1.0), 1.0);
    double const squeeze = std::clamp(fit * style.size / smaller.size, kNarrowest, 1.0);
    if (natural * squeeze * smaller.size / style.size <= max_width * 1.0001) {
        draw(text, start, smaller, squeeze);
        return;
    }
    auto const layout = new_layout(text, smaller);
    pango_layout_set_single_paragraph_mode(layout.get(), TRUE);
    pango_layout_set_ellipsize(layout.get(), PANGO_ELLIPSIZE_END);
    set_width(layout.get(), smaller, max_width);
    cairo_save(&m_cr);
    cairo_translate(&m_cr, start.x, start.y);
    cairo_scale(&m_cr, scale_of(smaller), scale_of(smaller));
    cairo_move_to(&m_cr, 0, -from_pango(pango_layout_get_baseline(layout.get())));
    show(layout.get(), style.colour, Letters::words);
    cairo_restore(&m_cr);
}

int Type::missing_letters(std::string_view text) const
{
    return pango_layout_get_unknown_glyphs_count(line(text, {kSetEm, Weight::regular, {}}).layout.get());
}

Type::Paragraph Type::paragraph(std::string_view text, TextStyle const& style, double max_width, int max_lines,
                                double line_spacing) const
{
    auto const layout = new_layout(text, style);
    set_width(layout.get(), style, max_width);
    pango_layout_set_wrap(layout.get(), PANGO_WRAP_WORD_CHAR);
    pango_layout_set_line_spacing(layout.get(), static_cast<float>(line_spacing));
    pango_layout_set_height(layout.get(), -max_lines);
    pango_layout_set_ellipsize(layout.get(), PANGO_ELLIPSIZE_END);
    PangoRectangle logical;
    pango_layout_get_extents(layout.get(), nullptr, &logical);
    double const scale = scale_of(style);
    return {layout, scale, scale * from_pango(logical.width), scale * from_pango(logical.height)};
}

void Type::draw(Paragraph const& paragraph, Point top_left, Colour colour) const
{
    PangoRectangle logical;
    pango_layout_get_extents(paragraph.layout.get(), nullptr, &logical);
    // Right-to-left text begins at the far end of the wrapping width: bring its box to `top_left`.
    cairo_save(&m_cr);
    cairo_translate(&m_cr, top_left.x, top_left.y);
    cairo_scale(&m_cr, paragraph.scale, paragraph.scale);
    cairo_move_to(&m_cr, -from_pango(logical.x), -from_pango(logical.y));
    show(paragraph.layout.get(), colour, Letters::words);
    cairo_restore(&m_cr);
}

} // namespace tabard::overlay
