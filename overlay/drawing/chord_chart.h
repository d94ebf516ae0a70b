#pragma once
#include "overlay/base/result.h"
#include "overlay/drawing/theme.h"
#include "overlay/music/names/chord_label.h"
#include "overlay/music/shapes/shape.h"

#include <cstddef>
#include <string>
#include <vector>

namespace tabard::overlay {

/// One diagram of a chart: the name above it and a line of text below.
struct ChartEntry {
    ChordLabel label;
    Shape shape;
    std::string caption;
};

enum class ChartFormat { png, svg, pdf };

/// The bytes of a picture with all entries in rows of at most `columns`, on the card colour of the theme. A PNG has 2
/// pixels a point. `capo` above 0 draws the nut as a capo. Fails with invalid_input where there are no entries.
Result<std::vector<std::byte>> draw_chord_chart(std::vector<ChartEntry> const& entries, std::size_t columns,
                                                ChartFormat format, Theme const& theme, int capo, bool left_handed);

} // namespace tabard::overlay
