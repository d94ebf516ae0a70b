#include "overlay/drawing/chord_diagram.h"

#include <algorithm>

#include <fmt/format.h>

namespace tabard::overlay {
namespace {

/// As fret_window(), with fewer rows where the shape leaves some empty.
FretWindow window_of(Shape const& shape, int least_rows)
{
    FretWindow window = fret_window(shape);
    int const needed = std::max(least_rows, fret_range(shape).highest - window.first + 1);
    window.rows = std::min(window.rows, needed);
    return window;
}

/// One diagram being drawn: where things are, and the parts in drawing order.
class Diagram {
public:
    Diagram(cairo_t& cr, Type const& type, Shape const& shape, FingerMarks const& marks, Box grid,
            DiagramStyle const& style, ComingShape coming)
        : m_cr(cr),
          m_type(type),
          m_shape(shape),
          m_marks(marks),
          m_grid(grid),
          m_style(style),
          m_coming(coming),
          m_window(window_of(shape, style.least_rows)),
          m_strings(static_cast<int>(shape.frets.size())),
          m_spacing(grid.width / std::max(1, m_strings - 1)),
          m_row(grid.height / m_window.rows),
          m_dot(std::min(0.43 * m_spacing, 0.46 * m_row))
    {
    }

    void draw() const
    {
        draw_frets();
        draw_strings();
        draw_top_edge();
        if (m_style.numbers == FingerNumbers::shown)
            draw_marks();
        if (m_coming && coming_fits())
            draw_coming();
        for (auto const& barre : m_shape.barres())
            draw_barre(barre);
        for (int i = 0; i < m_strings; ++i)
            draw_finger(i);
        draw_fret_number();
    }

private:
    double string_x(int position) const
    {
        int const column = m_style.left_handed ? m_strings - 1 - position : position;
        return m_grid.x + column * m_spacing;
    }
    double fret_y(int fret) const { return m_grid.y + (fret - m_window.first + 0.5) * m_row; }
    int fret(int position) const { return m_shape.frets[static_cast<std::size_t>(position)]; }
    int finger(int position) const
    {
        auto const at = static_cast<std::size_t>(position);
        return at < m_shape.fingers.size() ? m_shape.fingers[at] : kNoFinger;
    }
    bool anchored(int position) const
    {
        return std::ranges::find(m_marks.anchored, position) != m_marks.anchored.end();
    }
    bool stays(int position) const
    {
        return anchored(position) || std::ranges::find(m_marks.staying, position) != m_marks.staying.end();
    }
    double gauge(int position) const
    {
        double const from_bass = m_strings > 1 ? static_cast<double>(position) / (m_strings - 1) : 1;
        return m_spacing * (0.085 - 0.052 * from_bass);
    }

    void draw_frets() const;
    void draw_strings() const;
    void draw_top_edge() const;
    void draw_capo() const;
    bool coming_moves_to(int position) const;
    bool coming_fits() const;
    void draw_coming() const;
    void draw_marks() const;
    void draw_barre(Barre const& barre) const;
    void draw_finger(int position) const;
    void draw_stay(Point centre, bool anchored) const;
    void draw_number(int finger, Point centre, Colour colour) const;
    void draw_fret_number() const;

    cairo_t& m_cr;
    Type const& m_type;
    Shape const& m_shape;
    FingerMarks const& m_marks;
    Box m_grid;
    DiagramStyle const& m_style;
    ComingShape m_coming;
    FretWindow m_window;
    int m_strings;
    double m_spacing;
    double m_row;
    double m_dot; ///< radius
};

void Diagram::draw_frets() const
{
    double const half_string = gauge(0) / 2;
    for (int i = m_window.first == 1 ? 1 : 0; i <= m_window.rows; ++i)
        line(m_cr, {m_grid.x - half_string, m_grid.y + i * m_row},
             {m_grid.right() + half_string, m_grid.y + i * m_row});
    cairo_set_line_cap(&m_cr, CAIRO_LINE_CAP_BUTT);
    stroke(m_cr, m_style.fret, m_spacing * 0.05);
}

void Diagram::draw_strings() const
{
    for (int i = 0; i < m_strings; ++i) {
        line(m_cr, {string_x(i), m_grid.y}, {string_x(i), m_grid.bottom() + m_spacing * 0.025});
        stroke(m_cr, m_style.string, gauge(i));
    }
}

void Diagram::draw_top_edge() const
{
    if (m_style.top == TopEdge::capo)
        return draw_capo();
    if (m_window.first != 1)
        return;
    double const thickness = m_spacing * 0.15;
    double const over = gauge(0) / 2;
    round_box(m_cr, {m_grid.x - over, m_grid.y - thickness, m_grid.width + 2 * over, thickness}, m_spacing * 0.03);
    fill(m_cr, m_style.ink);
}

/// Over the strings whichever frets are shown; apart from the first of them where that does not follow it.
void Diagram::draw_capo() const
{
    bool const full = m_style.numbers == FingerNumbers::shown;
    double const height = m_spacing * (full ? 0.84 : 0.5);
    double const bottom = m_grid.y - (m_window.first == 1 ? 0 : m_spacing * 0.14);
    double const over = m_spacing * 0.42;
    double const for_number = m_style.capo_fret > 0 && full ? m_spacing * 0.95 : 0;
    Box bar{m_grid.x - over, bottom - height, m_grid.width + 2 * over + for_number, height};
    if (!m_style.left_handed)
        bar.x -= for_number;
    round_box(m_cr, bar, height * 0.3);
    fill(m_cr, m_style.capo);
    if (for_number == 0)
        return;
    double const x = m_style.left_handed ? m_grid.right() + m_spacing * 0.9 : m_grid.x - m_spacing * 0.9;
    double const size = m_style.fret_number_size > 0 ? m_style.fret_number_size : m_spacing * 0.6;
    m_type.draw_centred(fmt::format("{}", m_style.capo_fret), {x, bar.centre_y()},
                        {size, Weight::bold, m_style.on_capo});
}

/// A finger that is not on that string and fret yet.
bool Diagram::coming_moves_to(int position) const
{
    int const there = m_coming->frets[static_cast<std::size_t>(position)];
    return there > 0 && there != fret(position);
}

bool Diagram::coming_fits() const
{
    if (m_coming->frets.size() != m_shape.frets.size())
        return false;
    for (int i = 0; i < m_strings; ++i) {
        int const there = m_coming->frets[static_cast<std::size_t>(i)];
        if (coming_moves_to(i) && (there < m_window.first || there >= m_window.first + m_window.rows))
            return false;
    }
    return true;
}

void Diagram::draw_coming() const
{
    double const width = m_spacing * 0.1;
    auto const hollow = [&] {
        cairo_path_t* const path = cairo_copy_path(&m_cr);
        fill(m_cr, m_style.paper);
        cairo_append_path(&m_cr, path);
        cairo_path_destroy(path);
        stroke(m_cr, m_style.dot, width);
    };
    auto const barres = m_coming->barres();
    auto const barre_of = [&](int i) {
        return std::ranges::find_if(barres, [&](Barre const& b) {
            return b.fret == m_coming->frets[static_cast<std::size_t>(i)] && i >= b.first_string && i <= b.last_string;
        });
    };
    for (Barre const& barre : barres) {
        if (!coming_moves_to(barre.first_string))
            continue;
        double const left = std::min(string_x(barre.first_string), string_x(barre.last_string));
        double const right = std::max(string_x(barre.first_string), string_x(barre.last_string));
        double const half = m_dot * 0.8 - width / 2;
        double const ends = m_dot - width / 2;
        round_box(m_cr, {left - ends, fret_y(barre.fret) - half, right - left + 2 * ends, 2 * half}, half);
        hollow();
    }
    for (int i = 0; i < m_strings; ++i) {
        if (!coming_moves_to(i))
            continue;
        auto const barre = barre_of(i);
        if (barre != barres.end() && i != barre->first_string && coming_moves_to(barre->first_string))
            continue; // the bar is there already
        Point const centre{string_x(i), fret_y(m_coming->frets[static_cast<std::size_t>(i)])};
        circle(m_cr, centre, m_dot - width / 2);
        hollow();
        auto const at = static_cast<std::size_t>(i);
        int const finger = at < m_coming->fingers.size() ? m_coming->fingers[at] : kNoFinger;
        if (m_style.numbers == FingerNumbers::shown && finger != kNoFinger)
            draw_number(finger, centre, m_style.ink);
    }
}

void Diagram::draw_marks() const
{
    bool const on_capo = m_style.top == TopEdge::capo;
    double const y = m_grid.y - m_spacing * (!on_capo ? 0.58 : m_window.first == 1 ? 0.42 : 0.56);
    double const radius = m_spacing * 0.19;
    for (int i = 0; i < m_strings; ++i) {
        double const x = string_x(i);
        if (fret(i) == 0)
            circle(m_cr, {x, y}, radius);
        if (fret(i) == kMuted) {
            double const arm = radius * 0.86;
            line(m_cr, {x - arm, y - arm}, {x + arm, y + arm});
            line(m_cr, {x - arm, y + arm}, {x + arm, y - arm});
        }
    }
    cairo_set_line_cap(&m_cr, CAIRO_LINE_CAP_ROUND);
    stroke(m_cr, on_capo ? m_style.on_capo : m_style.ink, m_spacing * 0.085);
    cairo_set_line_cap(&m_cr, CAIRO_LINE_CAP_BUTT);
}

void Diagram::draw_barre(Barre const& barre) const
{
    double const left = std::min(string_x(barre.first_string), string_x(barre.last_string));
    double const right = std::max(string_x(barre.first_string), string_x(barre.last_string));
    double const half = m_dot * 0.8;
    round_box(m_cr, {left - m_dot, fret_y(barre.fret) - half, right - left + 2 * m_dot, 2 * half}, half);
    fill(m_cr, m_style.dot);
}

void Diagram::draw_finger(int position) const
{
    if (fret(position) <= 0)
        return;
    Point const centre{string_x(position), fret_y(fret(position))};
    auto const barres = m_shape.barres();
    auto const barre = std::ranges::find_if(barres, [&](Barre const& b) {
        return b.fret == fret(position) && position >= b.first_string && position <= b.last_string;
    });
    if (barre != barres.end() && position != barre->first_string)
        return; // the bar is there already, and one number says whose it is
    if (stays(position))
        draw_stay(centre, anchored(position));
    circle(m_cr, centre, stays(position) ? std::min(m_dot, m_spacing * 0.39) : m_dot);
    fill(m_cr, m_style.dot);
    if (m_style.numbers == FingerNumbers::shown && finger(position) != kNoFinger)
        draw_number(finger(position), centre, m_style.on_dot);
}

/// A ring or, for an anchor, a square: told apart without colour.
void Diagram::draw_stay(Point centre, bool anchored) const
{
    auto const outline = [&](double half) {
        if (anchored)
            round_box(m_cr, {centre.x - half, centre.y - half, 2 * half, 2 * half}, m_spacing * 0.08);
        else
            circle(m_cr, centre, half);
    };
    outline(m_spacing * 0.5);
    fill(m_cr, m_style.paper);
    outline(m_spacing * 0.465);
    stroke(m_cr, m_style.accent, m_spacing * 0.07);
}

void Diagram::draw_number(int finger, Point centre, Colour colour) const
{
    double const size = m_style.number_size > 0 ? m_style.number_size : m_dot * 1.62;
    m_type.draw_centred(finger == kThumb ? "T" : fmt::format("{}", finger), centre, {size, Weight::semibold, colour});
}

void Diagram::draw_fret_number() const
{
    if (m_window.first == 1 || m_style.numbers == FingerNumbers::left_out)
        return;
    TextStyle const style{m_style.fret_number_size > 0 ? m_style.fret_number_size : m_spacing * 0.6, Weight::semibold,
                          m_style.ink};
    std::string const number = fmt::format("{}", m_window.first);
    double const reach = m_spacing * 0.56;
    double const x = m_style.left_handed ? m_grid.right() + reach : m_grid.x - reach - m_type.width(number, style);
    m_type.draw(number, {x, fret_y(m_window.first) + style.size * m_type.cap_height() / 2}, style);
}

} // namespace

void draw_diagram(cairo_t& cr, Type const& type, Shape const& shape, FingerMarks const& marks, Box grid,
                  DiagramStyle const& style, ComingShape coming)
{
    if (!shape.frets.empty())
        Diagram{cr, type, shape, marks, grid, style, coming}.draw();
}

} // namespace tabard::overlay
