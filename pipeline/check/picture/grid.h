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

/// Means over about three rows of each cell: pixels in between hardly matter here, speed does.
Grid measure_grid(PictureView const& picture, Orientation orientation);

} // namespace tabard::pipeline
