#include "overlay/drawing/chord_lettering.h"
#include "overlay/sheet/blocks.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>
#include <fmt/ranges.h>

// Every shape once, in rows; then what the hand may leave where it is, and what the chords are without the capo.
namespace tabard::overlay::sheet {
namespace {

/// One diagram with its name and level above.
struct Cell {
    ChordLabel label;
    SheetShape shape;
};

std::vector<Cell> cells_of(SheetModel const& model)
{
    std::vector<Cell> cells;
    for (auto const& chord : model.chords)
        for (auto const& shape : chord.shapes)
            cells.push_back({chord.label, shape});
    return cells;
}

class ShapeGrid {
public:
    ShapeGrid(Setting const& setting, SheetModel const& model)
        : s(setting),
          m_spacing(s.size.finger_number * 1.44),
          m_top(model.capo > 0 ? TopEdge::capo : TopEdge::nut),
          m_grid_width((std::max(model.strings, 4) - 1) * m_spacing),
          m_number_room(m_spacing * 1.15)
    {
        double const needed = m_grid_width + m_number_room + m_spacing * kOverhang;
        m_columns = std::max(1, static_cast<int>(s.width / needed));
        m_cell_width = s.width / m_columns;
    }

    int columns() const { return m_columns; }
    double cell_width() const { return m_cell_width; }
    double height() const { return grid_top() + kRows * m_spacing + s.u(2); }

    void draw(Cell const& cell, Point at) const
    {
        double const left = at.x + (s.options.left_handed ? m_spacing * kOverhang : m_number_room);
        draw_name(cell, {left - m_spacing * 0.4, at.y + capital()}, at.x + m_cell_width - s.u(5));
        DiagramStyle style{kInk, kLine, kSoft, kInk, kPaper, kInk, kPaper};
        style.top = m_top;
        style.left_handed = s.options.left_handed;
        style.number_size = style.fret_number_size = s.size.finger_number;
        draw_diagram(s.cr, s.type, cell.shape.shape, {}, {left, at.y + grid_top(), m_grid_width, kRows * m_spacing},
                     style);
    }

private:
    static constexpr double kRows = 4.7; ///< height of a grid, in distances between strings

    double capital() const { return s.size.chord * s.type.cap_height(); }
    double grid_top() const { return capital() + s.u(6) + m_spacing * kMarksAbove; }
    void draw_name(Cell const& cell, Point start, double end) const
    {
        TextStyle const level{s.size.small, Weight::regular, kSoft};
        double const level_width = cell.shape.level.empty() ? 0 : s.type.width(cell.shape.level, level) + s.u(5);
        double const used = draw_chord_name(s.cr, s.type, cell.label, start, {s.size.chord, Weight::bold, kInk, kSoft},
                                            end - start.x - level_width);
        if (!cell.shape.level.empty())
            s.type.draw(cell.shape.level, {start.x + used + s.u(5), start.y}, level);
    }

    Setting const& s;
    double m_spacing;
    TopEdge m_top;
    double m_grid_width;
    double m_number_room; ///< left of the grid (right of it for the left-handed), for the first fret's number
    int m_columns = 1;
    double m_cell_width = 0;
};

/// "C is E": what a chord is called without the capo, in a flow of pairs.
class SoundingRow {
public:
    SoundingRow(Setting const& setting, std::vector<SheetSounding> const& pairs) : s(setting), m_pairs(pairs) {}

    /// Walks through the pairs line by line; draws them if asked. Gives the height.
    double flow(Point at, bool draw) const
    {
        TextStyle const lead{s.size.body, Weight::regular, kSoft};
        double x = at.x;
        double baseline = at.y + size();
        if (draw)
            s.type.draw(kLead, {x, baseline}, lead);
        x += s.type.width(kLead, lead) + size() * 0.9;
        ChordNameStyle const from{size(), Weight::regular, kSoft, kSoft};
        ChordNameStyle const to{size(), Weight::bold, kInk, kSoft};
        for (auto const& pair : m_pairs) {
            double const first = chord_name_width(s.type, pair.shape, from);
            double const second = chord_name_width(s.type, pair.sounds, to);
            double const arrow = size() * 1.3;
            if (x > at.x && x + first + arrow + second > at.x + s.width) {
                x = at.x;
                baseline += size() * 1.5;
            }
            if (draw) {
                draw_chord_name(s.cr, s.type, pair.shape, {x, baseline}, from, s.width);
                draw_arrow({x + first + arrow * 0.22, baseline - size() * 0.34}, arrow * 0.56);
                draw_chord_name(s.cr, s.type, pair.sounds, {x + first + arrow, baseline}, to, s.width);
            }
            x += first + arrow + second + size() * 1.25;
        }
        return baseline + size() * 0.3 - at.y;
    }

private:
    static constexpr char const* kLead = "Without the capo:";
    double size() const { return s.size.small * kSmallestSign; }
    void draw_arrow(Point at, double length) const
    {
        double const head = length * 0.34;
        line(s.cr, at, {at.x + length, at.y});
        cairo_move_to(&s.cr, at.x + length - head, at.y - head);
        cairo_line_to(&s.cr, at.x + length, at.y);
        cairo_line_to(&s.cr, at.x + length - head, at.y + head);
        stroke(s.cr, kSoft, s.u(0.9));
    }

    Setting const& s;
    std::vector<SheetSounding> const& m_pairs;
};

} // namespace

std::vector<Block> shape_blocks(Setting const& s, SheetModel const& model)
{
    std::vector<Block> blocks;
    auto const cells = cells_of(model);
    ShapeGrid const grid{s, model};
    if (!cells.empty())
        blocks.push_back(heading(s, "Shapes"));
    for (std::size_t first = 0; first < cells.size(); first += static_cast<std::size_t>(grid.columns())) {
        auto const last = std::min(cells.size(), first + static_cast<std::size_t>(grid.columns()));
        std::vector<Cell> const row(cells.begin() + static_cast<std::ptrdiff_t>(first),
                                    cells.begin() + static_cast<std::ptrdiff_t>(last));
        Block block;
        block.height = grid.height();
        block.space_before = s.u(first == 0 ? 7 : 10);
        block.tag = "Figure";
        block.draw = [grid, row](Point at) {
            for (std::size_t i = 0; i < row.size(); ++i)
                grid.draw(row[i], {at.x + static_cast<double>(i) * grid.cell_width(), at.y});
        };
        blocks.push_back(std::move(block));
    }
    if (!model.anchors.empty()) {
        blocks.push_back(text_block(s, fmt::format("{}", fmt::join(model.anchors, " ")), s.size.body, kInk));
        blocks.back().space_before = s.u(9);
    }
    if (!model.soundings.empty()) {
        Block block;
        SoundingRow const row{s, model.soundings};
        block.height = row.flow({0, 0}, false);
        block.space_before = s.u(9);
        block.draw = [row](Point at) { row.flow(at, true); };
        blocks.push_back(std::move(block));
    }
    return blocks;
}

} // namespace tabard::overlay::sheet
