#pragma once
#include "overlay/music/shapes/shape.h"

namespace tabard::overlay {

/// The lowest and the highest fret that a finger holds; both 0 where all strings are open or muted.
struct FretRange {
    int lowest = 0;
    int highest = 0;
    int span() const { return highest - lowest; }
    friend bool operator==(FretRange, FretRange) = default;
};
FretRange fret_range(Shape const& shape);

/// Which frets a diagram shows: `rows` of them from `first`, counted from the capo or nut. A shape that fits within the
/// first four frets is shown from the nut.
struct FretWindow {
    int first = 1;
    int rows = 4;
    friend bool operator==(FretWindow, FretWindow) = default;
};
FretWindow fret_window(Shape const& shape);

} // namespace tabard::overlay
