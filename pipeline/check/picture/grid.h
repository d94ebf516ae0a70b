#pragma once
#include "pipeline/media/decoded_picture.h"
#include "pipeline/media/media_info.h"

#include <array>

namespace tabard::pipeline {

/// Pictures are measured in 48 x 48 cells of equal size, whatever their shape: enough to tell a hand from a face, and
/// turning a picture only reorders them. A third of the width and height is a whole number of cells.
constexpr int kGridSide = 48;
constexpr int kGridCells = kGridSide * kGridSide;

/// Means of one cell, as 8-bit codes of the footage (10 bits are brought to 8).
struct Cell {
    float luma = 0;
    float blue = 128;
    float red = 128;
};

/// A picture as displayed, row by row from the top left.
using Grid = std::array<Cell, kGridCells>;

/// The luma of the darkest and the lightest sixteenth of a cell (a quarter of its width by a quarter of its height: as
/// large as the stem of a letter), as codes like those of Cell.
struct LumaRange {
    float darkest = 0;
    float lightest = 0;
};
using RangeGrid = std::array<LumaRange, kGridCells>;
RangeGrid measure_ranges(PictureView const& picture, Orientation orientation);

/// Means over about three rows of each cell: pixels in between hardly matter here, speed does.
Grid measure_grid(PictureView const& picture, Orientation orientation);

} // namespace tabard::pipeline
