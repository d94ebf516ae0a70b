#include "overlay/drawing/strum_glyphs.h"
#include "overlay/sheet/blocks.h"

#include <algorithm>

// What the playing hand does, one bar of each pattern.
namespace tabard::overlay::sheet {
namespace {

struct PatternRow {
    Setting const& s;
    std::vector<SheetStrum> patterns; ///< side by side
    int columns;
    int strings;

    double lane_height() const { return s.size.small / 0.18; } // letters are 0.18 of a lane
    double height() const { return s.size.body * 1.5 + lane_height(); }

    void draw(Point at) const
    {
        double const gap = s.u(24);
        double const width = (s.width - gap * (columns - 1)) / columns;
        for (std::size_t i = 0; i < patterns.size(); ++i) {
            double const x = at.x + static_cast<double>(i) * (width + gap);
            auto const& strum = patterns[i];
            s.type.draw_fitted(strum.name, {x, at.y + s.size.body}, {s.size.body, Weight::semibold, kInk}, width);
            StrumRowStyle const style{kInk, kSoft, kLine, kInk, kPaper, strings};
            Box const lane{x, at.y + s.size.body * 1.5, width, lane_height()};
            draw_strum_row(s.cr, s.type, strum.pattern, strum.meter, std::nullopt, 0, lane, style);
        }
    }
};

} // namespace

std::vector<Block> strum_blocks(Setting const& s, SheetModel const& model)
{
    std::vector<Block> blocks;
    if (model.strums.empty())
        return blocks;
    blocks.push_back(heading(s, "Playing hand"));
    // Two patterns side by side where every step keeps room for its letters.
    auto const longest =
        std::ranges::max(model.strums, {}, [](auto const& strum) { return strum.pattern.steps.size(); });
    double const step =
        (s.width / 2 - s.u(12)) / static_cast<double>(std::max<std::size_t>(1, longest.pattern.steps.size()));
    int const columns = step > s.size.small / 0.62 ? 2 : 1;
    for (std::size_t i = 0; i < model.strums.size(); i += static_cast<std::size_t>(columns)) {
        auto const last = std::min(model.strums.size(), i + static_cast<std::size_t>(columns));
        PatternRow const row{s,
                             {model.strums.begin() + static_cast<std::ptrdiff_t>(i),
                              model.strums.begin() + static_cast<std::ptrdiff_t>(last)},
                             columns,
                             model.strings};
        Block block;
        block.height = row.height();
        block.space_before = s.u(i == 0 ? 5 : 9);
        block.tag = "Figure";
        block.draw = [row](Point at) { row.draw(at); };
        blocks.push_back(std::move(block));
    }
    return blocks;
}

} // namespace tabard::overlay::sheet
