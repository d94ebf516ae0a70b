#pragma once
#include "pipeline/check/picture/grid.h"

#include <array>

namespace tabard::pipeline {

/// A colour as it is coded for a display, each part 0 to 1.
struct Rgb {
    float red = 0;
    float green = 0;
    float blue = 0;
};
using RgbGrid = std::array<Rgb, kGridCells>;

/// Relative luminance after WCAG 2.x: 0 black, 1 white.
float luminance(Rgb coded);
/// One part made linear (sRGB).
float linear(float coded);

/// What a viewer sees of the cells. PQ is brought to SDR with 203 cd/m2 (Report ITU-R BT.2408) as white; HLG is taken
/// as it is, for it was made to look right on SDR displays.
RgbGrid displayed(Grid const& grid, ColourTags const& colour);
Rgb displayed(Cell const& cell, ColourTags const& colour);

} // namespace tabard::pipeline
