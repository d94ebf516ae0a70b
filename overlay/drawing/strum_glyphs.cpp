#include "overlay/drawing/strum_glyphs.h"

#include <algorithm>
#include <string>
#include <vector>

namespace tabard::overlay {
namespace {

/// Rows of the lane, in parts of its height: letters, strokes, count.
struct Rows {
    double letters_middle;
    double strokes_top;
    double strokes_bottom;
    double count_middle;
    double letter_size;
};
constexpr Rows kWithLetters{0.12, 0.27, 0.71, 0.855, 0.18};
constexpr Rows kWithoutLetters{0, 0.06, 0.66, 0.84, 0.225};

class StrumRow {
public:
    StrumRow(cairo_t& cr, Type const& type, StrumPattern const& pattern, Meter meter, std::optional<int> lit,
             int bass_string, Box box, StrumRowStyle const& style)
        : m_cr(cr),
          m_type(type),
          m_pattern(pattern),
          m_lit(lit),
          m_bass_string(bass_string),
          m_box(box),
          m_style(style),
          m_rows(style.letters ? kWithLetters : kWithoutLetters),
          m_meter(meter),
          m_steps(static_cast<int>(pattern.steps.size())),
          m_counts(count_syllables(meter, m_steps)),
          m_cell(box.width / std::max(1, m_steps)),
          m_height(box.height * (m_rows.strokes_bottom - m_rows.strokes_top)),
          m_shift(meter.pulses() * 2 == m_steps ? (pattern.swing - 0.5) * 2 * m_cell : 0),
          m_plucked(std::ranges::any_of(pattern.steps,
                                        [](auto const& step) { return step.motion == StrumStep::Motion::pluck; }))
    {
    }

    void draw() const
    {
        draw_lit_plate();
        draw_next_mark();
        if (m_plucked)
            draw_strings();
        for (int i = 0; i < m_steps; ++i)
            draw_step(i);
    }

private:
    double x_of(int step) const { return m_box.x + (step + 0.5) * m_cell + (step % 2 == 1 ? m_shift : 0); }
    double y_of(double part) const { return m_box.y + m_box.height * part; }
    bool lit(int step) const { return m_lit && *m_lit == step; }
    bool sounds(int step) const
    {
        return m_pattern.steps[static_cast<std::size_t>(step)].motion != StrumStep::Motion::rest;
    }
    bool on_plate(int step) const { return lit(step) && sounds(step); }
    Colour own_ink() const { return m_style.silent ? m_style.soft_ink : m_style.ink; }
    Colour ink(int step) const { return on_plate(step) ? m_style.on_accent : own_ink(); }
    Colour soft_ink(int step) const { return on_plate(step) ? m_style.on_accent : m_style.soft_ink; }

    void draw_lit_plate() const;
    void draw_next_mark() const;
    void draw_letters(int index, StrumStep const& step) const;
    void draw_count(int index) const;
    void draw_strings() const;
    void draw_step(int index) const;
    void draw_stroke(int index, StrumStep const& step) const;
    void draw_head(StrumStep const& step, Point tip, double towards, double size, Colour colour) const;
    void draw_plucks(int index, StrumStep const& step) const;
    void draw_rest(int index) const;

    cairo_t& m_cr;
    Type const& m_type;
    StrumPattern const& m_pattern;
    std::optional<int> m_lit;
    int m_bass_string;
    Box m_box;
    StrumRowStyle const& m_style;
    Rows const& m_rows;
    Meter m_meter;
    int m_steps;
    std::vector<std::string> m_counts;
    double m_cell;
    double m_height; ///< of the strokes
    double m_shift;  ///< of an off-beat step by swing
    bool m_plucked;
};

void StrumRow::draw_lit_plate() const
{
    if (!m_lit || *m_lit < 0 || *m_lit >= m_steps)
        return;
    double const width = std::min(m_cell * 0.94, m_box.height * 0.66);
    Box const plate{x_of(*m_lit) - width / 2, m_box.y, width, m_box.height};
    if (on_plate(*m_lit)) {
        round_box(m_cr, plate, m_box.height * 0.09);
        fill(m_cr, m_style.accent);
        return;
    }
    double const line_width = m_box.height * 0.03;
    round_box(m_cr, plate.inset(line_width / 2), m_box.height * 0.09);
    stroke(m_cr, m_style.accent, line_width);
}

/// A bar below the stroke that comes next: the hand is ready before it is due.
void StrumRow::draw_next_mark() const
{
    if (!m_style.next_stroke || lit(*m_style.next_stroke))
        return;
    double const width = std::min(m_cell * 0.8, m_box.height * 0.5);
    double const height = m_box.height * 0.05;
    round_box(m_cr, {x_of(*m_style.next_stroke) - width / 2, m_box.bottom() - height * 0.6, width, height}, height / 2);
    fill(m_cr, m_style.accent);
}

void StrumRow::draw_strings() const
{
    for (int i = 0; i < m_style.strings; ++i) {
        double const y = y_of(m_rows.strokes_top) + m_height * (i + 0.5) / m_style.strings;
        line(m_cr, {m_box.x, y}, {m_box.right(), y});
        stroke(m_cr, m_style.string, m_box.height * (0.008 + 0.002 * i));
    }
}

void StrumRow::draw_step(int index) const
{
    StrumStep const& step = m_pattern.steps[static_cast<std::size_t>(index)];
    switch (step.motion) {
    case StrumStep::Motion::rest:
        draw_rest(index);
        break;
    case StrumStep::Motion::down:
    case StrumStep::Motion::up:
        draw_stroke(index, step);
        break;
    case StrumStep::Motion::pluck:
        draw_plucks(index, step);
        break;
    }
    draw_letters(index, step);
    draw_count(index);
}

void StrumRow::draw_letters(int index, StrumStep const& step) const
{
    std::string letters = step.finger == '\0' ? "" : std::string(1, step.finger);
    for (auto const& pluck : step.plucks)
        if (pluck.finger != '\0')
            letters += pluck.finger;
    TextStyle style{std::max(m_style.least, std::min(m_box.height * m_rows.letter_size, m_cell * 0.62)),
                    Weight::semibold, ink(index)};
    if (m_style.least > 0 && m_type.width(letters, style) > m_cell)
        return;
    m_type.draw_centred(letters, {x_of(index), y_of(m_rows.letters_middle)}, style);
}

/// What begins a group is bold, other pulses are in full ink. What falls between them is said where there is room for
/// it.
void StrumRow::draw_count(int index) const
{
    auto const at = static_cast<std::size_t>(index);
    if (at >= m_counts.size())
        return;
    Weighing const weight = weighing(m_meter, m_steps, index);
    bool const pulse = weight != Weighing::between;
    TextStyle const style{std::max(m_style.least, std::min(m_box.height * m_rows.letter_size, m_cell * 0.62)),
                          weight == Weighing::strong ? Weight::bold : Weight::regular,
                          pulse ? ink(index) : soft_ink(index)};
    bool const every_one_fits = m_type.width(m_counts.back(), style) * 1.15 <= m_cell || m_style.least == 0;
    if (pulse || every_one_fits)
        m_type.draw_centred(m_counts[at], {x_of(index), y_of(m_rows.count_middle)}, style);
}

void StrumRow::draw_rest(int index) const
{
    if (m_plucked)
        return;
    double const width = std::min(m_cell * 0.2, m_box.height * 0.07);
    double const y = y_of((m_rows.strokes_top + m_rows.strokes_bottom) / 2);
    line(m_cr, {x_of(index) - width / 2, y}, {x_of(index) + width / 2, y});
    cairo_set_line_cap(&m_cr, CAIRO_LINE_CAP_ROUND);
    stroke(m_cr, m_style.soft_ink, m_box.height * 0.025);
    cairo_set_line_cap(&m_cr, CAIRO_LINE_CAP_BUTT);
}

void StrumRow::draw_stroke(int index, StrumStep const& step) const
{
    bool const down = step.motion == StrumStep::Motion::down;
    double const x = x_of(index);
    // Room above for the accent sign, kept free in every step so that arrows stand in line.
    double const top = y_of(m_rows.strokes_top) + m_height * 0.14;
    double const bottom = y_of(m_rows.strokes_bottom) - m_height * 0.04;
    double const tip = down ? bottom : top;
    double const tail = down ? top : bottom;
    double const towards = down ? -1 : 1; // from the tip back to the tail
    double const width = std::min(m_height * (step.accent ? 0.17 : 0.09), m_cell * 0.2);
    double const head = std::min(m_height * (step.accent ? 0.44 : 0.36), m_cell * 0.66);
    line(m_cr, {x, tail}, {x, tip + towards * head * (step.muted ? 0.5 : 0.7)});
    stroke(m_cr, ink(index), width);
    draw_head(step, {x, tip}, towards, head, ink(index));
    if (step.accent) {
        double const size = m_height * 0.11;
        double const y = y_of(m_rows.strokes_top) + m_height * (m_style.letters ? 0.06 : -0.01);
        cairo_move_to(&m_cr, x - size, y - size * 0.62);
        cairo_line_to(&m_cr, x + size, y);
        cairo_line_to(&m_cr, x - size, y + size * 0.62);
        stroke(m_cr, ink(index), m_height * 0.045);
    }
}

void StrumRow::draw_head(StrumStep const& step, Point tip, double towards, double size, Colour colour) const
{
    if (step.muted) { // a cross in place of the point
        double const arm = size * 0.34;
        double const y = tip.y + towards * arm;
        line(m_cr, {tip.x - arm, y - arm}, {tip.x + arm, y + arm});
        line(m_cr, {tip.x - arm, y + arm}, {tip.x + arm, y - arm});
        cairo_set_line_cap(&m_cr, CAIRO_LINE_CAP_ROUND);
        stroke(m_cr, colour, m_height * 0.085);
        cairo_set_line_cap(&m_cr, CAIRO_LINE_CAP_BUTT);
        return;
    }
    cairo_move_to(&m_cr, tip.x, tip.y);
    cairo_line_to(&m_cr, tip.x - size / 2, tip.y + towards * size * 0.84);
    cairo_line_to(&m_cr, tip.x + size / 2, tip.y + towards * size * 0.84);
    cairo_close_path(&m_cr);
    fill(m_cr, colour);
}

void StrumRow::draw_plucks(int index, StrumStep const& step) const
{
    double const gap = m_height / m_style.strings;
    double const radius = std::min({gap * 0.62, m_cell * 0.3, m_box.height * 0.07}) * (step.accent ? 1.2 : 1);
    for (auto const& pluck : step.plucks) {
        int const string = pluck.string > 0 ? pluck.string : m_bass_string;
        double const row = string > 0 ? std::min(string, m_style.strings) - 0.5 : m_style.strings - 0.5;
        Point const centre{x_of(index), y_of(m_rows.strokes_top) + row * gap};
        if (step.muted) {
            line(m_cr, {centre.x - radius, centre.y - radius}, {centre.x + radius, centre.y + radius});
            line(m_cr, {centre.x - radius, centre.y + radius}, {centre.x + radius, centre.y - radius});
            stroke(m_cr, ink(index), radius * 0.5);
            continue;
        }
        circle(m_cr, centre, radius);
        if (string > 0)
            fill(m_cr, ink(index));
        else
            stroke(m_cr, ink(index), radius * 0.4); // some bass string: which one depends on the chord
    }
}

} // namespace

bool has_letters(StrumPattern const& pattern)
{
    return std::ranges::any_of(pattern.steps, [](StrumStep const& step) {
        return step.finger != '\0' ||
               std::ranges::any_of(step.plucks, [](auto& pluck) { return pluck.finger != '\0'; });
    });
}

Weighing weighing(Meter meter, int steps, int step)
{
    int const count = std::max(1, steps);
    int const pulses = meter.pulses();
    GroupStarts const groups = meter.pulse_groups();
    bool const on_pulse = step * pulses % count == 0;
    if (on_pulse && (groups == 0 || begins_group(groups, step * pulses / count)))
        return Weighing::strong;
    if (on_pulse || count <= pulses) // steps that are longer than a pulse are each on one
        return groups == 0 ? Weighing::strong : Weighing::pulse;
    return Weighing::between;
}

void draw_strum_row(cairo_t& cr, Type const& type, StrumPattern const& pattern, Meter meter,
                    std::optional<int> lit_step, int bass_string, Box box, StrumRowStyle const& style)
{
    if (!pattern.steps.empty())
        StrumRow{cr, type, pattern, meter, lit_step, bass_string, box, style}.draw();
}

} // namespace tabard::overlay
