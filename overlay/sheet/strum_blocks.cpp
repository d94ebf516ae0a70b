#include "overlay/drawing/strum_glyphs.h"
#include "overlay/sheet/blocks.h"

#include <algorithm>

// What the playing hand does, one bar of each pattern.
namespace tabard::overlay::sheet {
namespace {

constexpr double kGap = 16;          ///< between patterns
constexpr double kLetterPart = 0.61; ///< of a step's width: the largest letter there

struct PatternRow {
    Setting const& s;
    std::vector<SheetStrum> patterns; ///< side by side
    int columns;
    int strings;

    bool letters() const
    {
        return std::ranges::any_of(patterns, [](auto const& strum) { return has_letters(strum.pattern); });
    }
    double lane_height() const { return s.size.small / (letters() ? 0.18 : 0.225); } // as the letters in a lane
    double height() const { return s.size.body * 1.5 + lane_height(); }

    void draw(Point at) const
    {
        double const gap = kGap * s.size.unit;
        double const width = (s.width - gap * (columns - 1)) / columns;
        for (std::size_t i = 0; i < patterns.size(); ++i) {
            double const x = at.x + static_cast<double>(i) * (width + gap);
            auto const& strum = patterns[i];
            s.type.draw_fitted(strum.name, {x, at.y + s.size.body}, {s.size.body, Weight::semibold, kInk}, width);
            StrumRowStyle const style{kInk, kSoft, kLine, kInk, kPaper, strings, letters()};
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
    // As many side by side as leave every step room for its letters.
    auto const longest =
        std::ranges::max(model.strums, {}, [](auto const& strum) { return strum.pattern.steps.size(); });
    double const narrowest = static_cast<double>(longest.pattern.steps.size()) * s.size.small / kLetterPart;
    int const fit = static_cast<int>((s.width + kGap * s.size.unit) / (narrowest + kGap * s.size.unit));
    int const columns = std::clamp(fit, 1, static_cast<int>(model.strums.size()));
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
