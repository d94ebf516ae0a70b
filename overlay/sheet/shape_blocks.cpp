#include "overlay/drawing/chord_name.h"
#include "overlay/sheet/blocks.h"

#include <algorithm>
#include <cmath>

// Every shape once, in rows; then what the hand may leave where it is, and what the chords are without the capo.
namespace tabard::overlay::sheet {
namespace {

/// One diagram with its name above and its level below.
struct Cell {
    ChordLabel label;
    bool names = true; ///< the second shape of a chord goes without
    SheetShape shape;
};

std::vector<Cell> cells_of(SheetModel const& model)
{
    std::vector<Cell> cells;
    for (auto const& chord : model.chords)
        for (auto const& shape : chord.shapes)
            cells.push_back({chord.label, true, shape});
    return cells;
}

class ShapeGrid {
public:
    ShapeGrid(Setting const& setting, SheetModel const& model)
        : s(setting),
          m_spacing(s.size.finger_number * 1.5),
          m_grid_width((std::max(model.strings, 4) - 1) * m_spacing),
          m_number_room(m_spacing * (kFretNumberBeside + 0.35)),
          m_capo(model.capo),
          m_strings(std::max(model.strings, 4))
    {
        double const needed = m_grid_width + m_number_room + m_spacing * 0.55;
        m_columns = std::max(1, static_cast<int>((s.width + 1) / needed));
        m_cell_width = s.width / m_columns;
    }

    int columns() const { return m_columns; }
    double height(bool with_level) const
    {
        return name_height() + diagram_height() + (with_level ? level_height() : 0);
    }

    void draw(Cell const& cell, Point at) const
    {
        double const left = at.x + (s.options.left_handed ? m_spacing * 0.5 : m_number_room);
        double const capital = s.size.chord * s.type.cap_height();
        ChordNameStyle const name{s.size.chord, Weight::bold, kInk, kSoft};
        draw_chord_name(s.cr, s.type, cell.label, {left - m_spacing * 0.4, at.y + capital}, name,
                        m_cell_width - (left - at.x));
        // A grid of the shape's own number of strings, as wide as all others.
        Box const grid{left, at.y + name_height() + m_spacing * kMarksAbove, m_grid_width, 4.2 * m_spacing * 1.12};
        DiagramStyle style{kInk, kLine, kSoft, kInk, kPaper, kInk, kPaper};
        style.top = m_capo > 0 ? TopEdge::capo : TopEdge::nut;
        style.left_handed = s.options.left_handed;
        style.number_size = s.size.finger_number;
        draw_diagram(s.cr, s.type, cell.shape.shape, {}, grid, style);
        if (!cell.shape.level.empty()) {
            TextStyle const level{s.size.small, Weight::regular, kSoft};
            s.type.draw(cell.shape.level, {left - m_spacing * 0.1, at.y + height(false) + s.size.small}, level);
        }
    }
    double cell_width() const { return m_cell_width; }

private:
    double name_height() const { return s.size.chord * s.type.cap_height() + s.u(3); }
    double diagram_height() const { return m_spacing * kMarksAbove + 4.2 * m_spacing * 1.12 + s.u(2); }
    double level_height() const { return s.size.small * 1.3; }

    Setting const& s;
    double m_spacing;
    double m_grid_width;
    double m_number_room;
    int m_capo;
    int m_strings;
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
        double x = at.x;
        double baseline = at.y + size();
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
            x += first + arrow + second + size() * 1.6;
        }
        return baseline + size() * 0.3 - at.y;
    }

private:
    double size() const { return s.size.small / 0.6; } // what is raised is no smaller than the smallest text
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
        bool const levels = std::ranges::any_of(row, [](auto const& cell) { return !cell.shape.level.empty(); });
        Block block;
        block.height = grid.height(levels);
        block.space_before = s.u(first == 0 ? 7 : 10);
        block.tag = "Figure";
        block.draw = [grid, row](Point at) {
            for (std::size_t i = 0; i < row.size(); ++i)
                grid.draw(row[i], {at.x + static_cast<double>(i) * grid.cell_width(), at.y});
        };
        blocks.push_back(std::move(block));
    }
    for (auto const& anchor : model.anchors) {
        blocks.push_back(text_block(s, anchor, s.size.body, kInk));
        blocks.back().space_before = s.u(&anchor == &model.anchors.front() ? 8 : 2);
    }
    if (!model.soundings.empty()) {
        blocks.push_back(text_block(s, "Without the capo these chords sound the same:", s.size.body, kSoft));
        blocks.back().space_before = s.u(9);
        blocks.back().with_next = true;
        Block block;
        SoundingRow const row{s, model.soundings};
        block.height = row.flow({0, 0}, false);
        block.space_before = s.u(3);
        block.draw = [row](Point at) { row.flow(at, true); };
        blocks.push_back(std::move(block));
    }
    return blocks;
}

} // namespace tabard::overlay::sheet
