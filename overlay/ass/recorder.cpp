#include "overlay/ass/recorder.h"

#include "overlay/ass/stroke_outline.h"
#include "overlay/base/precondition.h"

#include <algorithm>
#include <cmath>
#include <memory>
#include <optional>
#include <string_view>
#include <utility>

#include <hb.h>
#include <pango/pangocairo.h>

namespace tabard::overlay {
namespace {

double from_pango(int units) { return static_cast<double>(units) / PANGO_SCALE; }

PathPoint device_point(cairo_t& cr, Point at)
{
    cairo_user_to_device(&cr, &at.x, &at.y);
    return {static_cast<int>(std::lround(at.x * kPathUnits)), static_cast<int>(std::lround(at.y * kPathUnits))};
}

VectorPath device_path(cairo_t& cr, Subpath const& outline)
{
    VectorPath path;
    path.move(device_point(cr, outline.segments.front().from));
    for (LineSegment const& s : outline.segments) {
        if (s.curved)
            path.curve(device_point(cr, s.first), device_point(cr, s.second), device_point(cr, s.to));
        else
            path.line(device_point(cr, s.to));
    }
    // An outline closes by itself.
    if (path.steps.back() == VectorPath::Step::line && path.points.back() == path.points.front()) {
        path.steps.pop_back();
        path.points.pop_back();
    }
    return path;
}

VectorPath running(VectorPath outline, bool forwards)
{
    return (signed_area(outline) > 0) == forwards ? outline : reversed(outline);
}

/// One piece of text that is set in one face, from left to right.
struct Run {
    PangoGlyphItem& item;
    char const* text; ///< of the whole layout
    double x;         ///< of its start and its baseline, below and right of the layout's corner
    double baseline;

    std::string_view words() const { return {text + item.item->offset, static_cast<std::size_t>(item.item->length)}; }
    PangoFont* font() const { return item.item->analysis.font; }
    /// What it covers in device units; `start` is where its baseline begins.
    PathBounds inked(cairo_t& cr, Point start) const
    {
        PangoRectangle ink;
        pango_glyph_string_extents(item.glyphs, font(), &ink, nullptr);
        Point const corner{start.x + from_pango(ink.x), start.y + from_pango(ink.y)};
        return {device_point(cr, corner),
                device_point(cr, {corner.x + from_pango(ink.width), corner.y + from_pango(ink.height)})};
    }
    /// How far its first `count` glyphs reach.
    double width_of(std::size_t count) const
    {
        double width = 0;
        for (std::size_t i = 0; i < count; ++i)
            width += from_pango(item.glyphs->glyphs[i].geometry.width);
        return width;
    }
    /// Its letters, where each has one glyph of its own at its own place, as the font has it for that letter alone:
    /// what every player shows. `scale`: display pixels in a unit.
    std::optional<std::vector<FilmWords::Letter>> letters(double scale) const
    {
        std::vector<FilmWords::Letter> all;
        hb_font_t* const hb = pango_font_get_hb_font(font());
        char const* const end = words().data() + words().size();
        char const* at = words().data();
        for (int i = 0; i < item.glyphs->num_glyphs; ++i) {
            PangoGlyphInfo const& glyph = item.glyphs->glyphs[i];
            if (at >= end || words().data() + item.glyphs->log_clusters[i] != at)
                return std::nullopt;
            hb_codepoint_t nominal = 0;
            bool const known = hb_font_get_nominal_glyph(hb, g_utf8_get_char(at), &nominal) != 0;
            if (!known || nominal != glyph.glyph || glyph.geometry.x_offset != 0 || glyph.geometry.y_offset != 0)
                return std::nullopt;
            double const kern = from_pango(glyph.geometry.width - hb_font_get_glyph_h_advance(hb, nominal)) * scale;
            char const* const next = g_utf8_next_char(at);
            all.push_back({{at, next}, std::round(kern * 64) / 64});
            at = next;
        }
        return at == end ? std::optional(std::move(all)) : std::nullopt;
    }
};

/// Scripts whose letters stand one after the other from left to right, each as it is written.
bool is_plain_script(int script)
{
    switch (static_cast<PangoScript>(script)) {
    case PANGO_SCRIPT_COMMON:
    case PANGO_SCRIPT_LATIN:
    case PANGO_SCRIPT_GREEK:
    case PANGO_SCRIPT_CYRILLIC:
        return true;
    default:
        return false;
    }
}

/// Letters that a player would take for commands.
bool has_commands(std::string_view words) { return words.find_first_of("{}\\\n\r\t") != std::string_view::npos; }

bool can_stay_words(Run const& run)
{
    PangoAnalysis const& analysis = run.item.item->analysis;
    return analysis.level == 0 && is_plain_script(analysis.script) && !has_commands(run.words());
}

template <class Each>
void for_each_run(PangoLayout& layout, Each const& each)
{
    std::unique_ptr<PangoLayoutIter, decltype(&pango_layout_iter_free)> const at{pango_layout_get_iter(&layout),
                                                                                 pango_layout_iter_free};
    char const* const text = pango_layout_get_text(&layout);
    do {
        if (PangoGlyphItem* const item = pango_layout_iter_get_run_readonly(at.get())) {
            PangoRectangle logical;
            pango_layout_iter_get_run_extents(at.get(), nullptr, &logical);
            each(Run{*item, text, from_pango(logical.x), from_pango(pango_layout_iter_get_baseline(at.get()))});
        }
    } while (pango_layout_iter_next_run(at.get()));
}

/// Takes spaces off both ends, which players leave out. How far those at the front reached.
double trim(std::vector<FilmWords::Letter>& letters, Run const& run)
{
    auto const is_space = [](FilmWords::Letter const& letter) { return letter.text == " "; };
    auto const first = std::ranges::find_if_not(letters, is_space);
    double const indent = run.width_of(static_cast<std::size_t>(first - letters.begin()));
    letters.erase(letters.begin(), first);
    while (!letters.empty() && is_space(letters.back()))
        letters.pop_back();
    return indent;
}

double em_of(PangoFont* font)
{
    std::unique_ptr<PangoFontDescription, decltype(&pango_font_description_free)> const description{
        pango_font_describe_with_absolute_size(font), pango_font_description_free};
    return from_pango(pango_font_description_get_size(description.get()));
}

} // namespace

std::vector<CardElement> Recorder::take() { return std::exchange(m_elements, {}); }

void Recorder::add(CardElement element, PathBounds bounds)
{
    // Edges are softened over the pixel beside them.
    bounds.least = {bounds.least.x - kPathUnits, bounds.least.y - kPathUnits};
    bounds.most = {bounds.most.x + kPathUnits, bounds.most.y + kPathUnits};
    element.bounds = bounds;
    for (CardElement const& below : m_elements)
        if (bounds.meets(below.bounds))
            element.depth = std::max(element.depth, below.depth + 1);
    m_elements.push_back(std::move(element));
}

void Recorder::add_area(VectorPath area, Colour colour)
{
    if (area.empty() || colour.alpha == 0)
        return;
    PathBounds const bounds = bounds_of(area);
    add({0, colour, std::move(area), {}, {}}, bounds);
}

void Recorder::fill(cairo_t& cr, Colour colour)
{
    VectorPath area;
    for (Subpath const& outline : subpaths_of(cr))
        area.append(device_path(cr, outline));
    add_area(std::move(area), colour);
}

void Recorder::stroke(cairo_t& cr, Colour colour, double width)
{
    cairo_line_cap_t const cap = cairo_get_line_cap(&cr);
    PRECONDITION(cap != CAIRO_LINE_CAP_SQUARE && cairo_get_dash_count(&cr) == 0);
    VectorPath area;
    for (Subpath const& path : subpaths_of(cr)) {
        std::vector<VectorPath> outlines;
        for (Subpath const& outline :
             stroke_outlines(path, width, cap == CAIRO_LINE_CAP_ROUND ? LineCap::round : LineCap::butt))
            outlines.push_back(device_path(cr, outline));
        std::ranges::sort(outlines, std::greater{}, [](VectorPath const& p) { return std::abs(signed_area(p)); });
        for (std::size_t i = 0; i < outlines.size(); ++i)
            area.append(running(std::move(outlines[i]), i == 0)); // the inner one is a hole
    }
    add_area(std::move(area), colour);
}

void Recorder::show(cairo_t& cr, PangoLayout& layout, Colour colour, Letters letters)
{
    Point corner;
    cairo_get_current_point(&cr, &corner.x, &corner.y);
    cairo_matrix_t matrix;
    cairo_get_matrix(&cr, &matrix);
    bool const words = letters == Letters::words && pango_layout_is_ellipsized(&layout) == FALSE;
    for_each_run(layout, [&](Run const& run) {
        Point const start{corner.x + run.x, corner.y + run.baseline};
        auto spaced = words && can_stay_words(run) ? run.letters(matrix.yy) : std::nullopt;
        int const face = spaced ? m_fonts.face_of(run.font()) : -1;
        if (face < 0) {
            add_outlines(cr, run.font(), run.item.glyphs, start, run.words(), colour);
            return;
        }
        FilmWords set{{}, face, {}, em_of(run.font()) * matrix.yy, matrix.xx / matrix.yy};
        double const indent = trim(*spaced, run);
        if (spaced->empty())
            return;
        for (auto const& letter : *spaced)
            m_fonts.use(face, g_utf8_get_char(letter.text.c_str()));
        set.letters = *std::move(spaced);
        set.start = device_point(cr, {start.x + indent, start.y});
        add({0, colour, {}, std::move(set), {}}, run.inked(cr, start));
    });
}

void Recorder::add_outlines(cairo_t& cr, PangoFont* font, PangoGlyphString* glyphs, Point start, std::string_view words,
                            Colour colour)
{
    cairo_new_path(&cr);
    cairo_move_to(&cr, start.x, start.y);
    pango_cairo_glyph_string_path(&cr, font, glyphs);
    VectorPath outlines;
    for (Subpath const& outline : subpaths_of(cr))
        outlines.append(device_path(cr, outline));
    cairo_new_path(&cr);
    if (outlines.empty() && words.find_first_not_of(' ') != std::string_view::npos)
        m_lost.emplace(words);
    add_area(std::move(outlines), colour);
}

} // namespace tabard::overlay
