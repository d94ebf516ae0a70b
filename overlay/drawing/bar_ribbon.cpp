#include "overlay/drawing/bar_fit.h"
#include "overlay/drawing/cards.h"
#include "overlay/drawing/chord_lettering.h"
#include "overlay/drawing/pulse_row.h"

#include <algorithm>
#include <numeric>

#include <fmt/format.h>

namespace tabard::overlay {
namespace {

// In units.
constexpr double kHead = 14.5;     ///< the line with the part's name
constexpr double kNarrowest = 0.8; ///< of a name, as draw_chord_name() makes it
constexpr double kLargest = 14;    ///< em of the names, where there is room

/// A bar's place among the others.
struct Cell {
    RibbonBar const* bar = nullptr; ///< null: no bar is left
    Box box;
    bool now = false;
    bool refilled = false; ///< its bar comes after the one at the end of the row
};

class Ribbon {
public:
    Ribbon(CardContext const& context, BarRibbon const& ribbon)
        : c(context),
          m_ribbon(ribbon),
          m_box(context.layout.ribbon),
          m_inner{m_box.x + c.u(kRibbonPad), m_box.y, m_box.width - 2 * c.u(kRibbonPad), m_box.height}
    {
        m_way = bars_shown(ribbon.crowding, c.stage);
        m_head = c.u(m_way.rows > 1 ? kTightHead : kHead);
        m_size = one_size();
    }

    void draw() const
    {
        draw_plate(c, m_box);
        draw_head();
        for (Cell const& cell : cells())
            draw(cell);
    }

private:
    double row_height() const { return (m_box.height - m_head - c.u(kRibbonFoot)) / m_way.rows; }
    double column_width() const { return m_inner.width / m_way.columns; }
    double name_width() const { return column_width() - 2 * c.u(kCellPad); }
    ChordNameStyle style(double size) const { return {size, Weight::bold, c.theme.ink, c.theme.soft_ink, c.least()}; }

    /// Of all names of the section alike: by the most crowded bar, and by none that is shown.
    double one_size() const
    {
        double const room = name_width() / std::max(1, m_ribbon.crowding) * 100;
        double const high = (row_height() - c.u(m_way.rows > 1 ? 5.5 : 9)) / 0.78;
        return std::max(c.played(), std::min({c.u(kLargest), room, high}));
    }

    std::vector<Cell> cells() const
    {
        int const count = m_way.bars();
        std::vector<Cell> cells(static_cast<std::size_t>(count));
        for (int i = 0; i < count; ++i)
            cells[static_cast<std::size_t>(i)].box = {m_inner.x + i % m_way.columns * column_width(),
                                                      m_box.y + m_head + i / m_way.columns * row_height(),
                                                      column_width(), row_height()};
        int const row = m_ribbon.bars.empty() ? 0 : (m_ribbon.bars.front().number - 1) / count;
        for (RibbonBar const& bar : m_ribbon.bars) {
            Cell& cell = cells[static_cast<std::size_t>((bar.number - 1) % count)];
            if (cell.bar) // of a bar that is played before it
                break;
            cell.bar = &bar;
            cell.now = &bar == &m_ribbon.bars.front();
            cell.refilled = (bar.number - 1) / count > row;
        }
        return cells;
    }

    /// What is left below the names in two rows.
    double under(Cell const& cell) const { return cell.box.height - 2 * c.half_capital(m_size) - c.u(2); }

    void draw_head() const;
    void draw(Cell const& cell) const;
    void draw_names(Cell const& cell, double middle) const;
    void draw_pulses(Cell const& cell) const;
    void draw_refilled(Cell const& cell) const;

    CardContext const& c;
    BarRibbon const& m_ribbon;
    Box m_box;
    Box m_inner;
    BarRows m_way;
    double m_head = 0;
    double m_size = 0;
};

/// The part's name and how far it has come.
void Ribbon::draw_head() const
{
    TextStyle const where{c.least(), Weight::medium, c.theme.soft_ink};
    TextStyle const name{c.least(), Weight::semibold, c.theme.ink};
    double const baseline = m_box.y + m_head / 2 + c.u(1) + c.half_capital(c.least());
    int const number = m_ribbon.bars.empty() ? 0 : m_ribbon.bars.front().number;
    std::string const words =
        m_ribbon.bars_in_section > 0 ? fmt::format("{} of {}", number, m_ribbon.bars_in_section) : "";
    double const width = c.type.width(words, where);
    double const left = m_inner.x + c.u(1);
    c.type.draw(words, {m_inner.right() - c.u(1) - width, baseline}, where);
    c.type.draw_fitted(m_ribbon.part, {left, baseline}, name, m_inner.right() - c.u(7) - width - left, c.least());
}

void Ribbon::draw(Cell const& cell) const
{
    bool const tight = m_way.rows > 1;
    Box const plate = cell.box.inset(c.u(0.8));
    if (cell.now) {
        round_box(c.cr, plate, c.u(2.5));
        fill(c.cr, c.theme.tint());
        round_box(c.cr, plate.inset(c.u(0.5)), c.u(2.2));
        stroke(c.cr, c.theme.accent, c.u(1));
    } else if (cell.box.x > m_inner.x + 1) {
        line(c.cr, {cell.box.x, plate.y + c.u(1.5)}, {cell.box.x, plate.bottom() - c.u(1.5)});
        stroke(c.cr, c.theme.line, c.u(0.7));
    }
    if (!cell.bar)
        return;
    double const middle =
        tight ? cell.box.y + c.u(1.2) + c.half_capital(m_size) + under(cell) / 4 : cell.box.centre_y() - c.u(2.2);
    draw_names(cell, middle);
    if (cell.now)
        draw_pulses(cell);
    if (cell.refilled)
        draw_refilled(cell);
}

/// What has no room at a legible size is not drawn: an ellipsis says that there is more.
void Ribbon::draw_names(Cell const& cell, double middle) const
{
    if (cell.bar->chords.empty())
        return;
    double const gap = 0.3 * m_size;
    TextStyle const more{m_size, Weight::bold, c.theme.ink};
    double room = name_width();
    std::vector<RibbonChord> chords = cell.bar->chords;
    std::vector<double> widths;
    for (RibbonChord const& chord : chords)
        widths.push_back(chord_name_width(c.type, chord.label, style(m_size)));
    auto const narrowed = [&] {
        double const names = std::accumulate(widths.begin(), widths.end(), 0.0);
        return (room - gap * static_cast<double>(widths.size() - 1)) / names;
    };
    bool const cut = chords.size() > 1 && narrowed() < kNarrowest;
    if (cut)
        room -= c.type.width("\u2026", more) + gap;
    while (chords.size() > 1 && narrowed() < kNarrowest) {
        chords.pop_back();
        widths.pop_back();
    }
    double const squeeze = std::clamp(narrowed(), kNarrowest, 1.0);
    for (double& width : widths)
        width = std::min(width * squeeze, room);
    auto const places = name_places(chords, cell.bar->beats, widths, room, gap);
    double const left = cell.box.x + c.u(kCellPad);
    for (std::size_t i = 0; i < places.size(); ++i)
        draw_legible_name(c.cr, c.type, chords[i].label, {left + places[i], middle}, style(m_size), widths[i] + 0.01,
                          m_size);
    if (cut)
        c.type.draw("\u2026", {left + room + gap, middle + c.half_capital(m_size)}, more);
}

/// Pulses that were played, of all that the bar has.
void Ribbon::draw_pulses(Cell const& cell) const
{
    int const pulses = std::max(1, m_ribbon.pulses);
    bool const tight = m_way.rows > 1;
    if (tight && cell.box.height < c.u(12.5))
        return; // the frame says which bar it is
    double const height = c.u(tight ? 1.5 : 3);
    double const gap = std::min(c.u(1.5), name_width() / pulses * 0.3);
    double const y = cell.box.bottom() - c.u(tight ? 2.1 : 3.6) - height;
    Box const row{cell.box.x + c.u(kCellPad), y, name_width(), height};
    auto const boxes = pulse_row(row, pulses, gap, m_ribbon.groups);
    for (int i = 0; i < pulses; ++i) {
        bool const played = m_ribbon.pulse && i <= *m_ribbon.pulse;
        Box const& box = boxes[static_cast<std::size_t>(i)];
        double const part = played ? height : height * 0.3;
        round_box(c.cr, {box.x, y + height - part, box.width, part}, part / 2);
        fill(c.cr, played ? c.theme.accent : c.theme.soft_ink);
    }
}

/// A dashed line over the bars that are reached from the end of the row.
void Ribbon::draw_refilled(Cell const& cell) const
{
    double const y = cell.box.bottom() - c.u(m_way.rows > 1 ? 1.2 : 4);
    double const step = c.u(5);
    for (double x = cell.box.x + c.u(kCellPad); x + c.u(2.5) <= cell.box.right() - c.u(kCellPad); x += step)
        line(c.cr, {x, y}, {x + c.u(2.5), y});
    stroke(c.cr, c.theme.soft_ink, c.u(1));
}

} // namespace

void draw_card(CardContext const& c, BarRibbon const& ribbon) { Ribbon{c, ribbon}.draw(); }

} // namespace tabard::overlay
