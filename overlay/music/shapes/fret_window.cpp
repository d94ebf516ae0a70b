#include "overlay/music/shapes/fret_window.h"

#include <algorithm>

namespace tabard::overlay {

FretRange fret_range(Shape const& shape)
{
    FretRange range;
    for (int const fret : shape.frets)
        if (fret > 0) {
            range.lowest = range.lowest == 0 ? fret : std::min(range.lowest, fret);
            range.highest = std::max(range.highest, fret);
        }
    return range;
}

FretWindow fret_window(Shape const& shape)
{
    FretWindow const from_nut;
    FretRange const held = fret_range(shape);
    if (held.highest <= from_nut.rows)
        return from_nut;
    return {held.lowest, std::max(from_nut.rows, held.span() + 1)};
}

} // namespace tabard::overlay
