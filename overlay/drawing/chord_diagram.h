#pragma once
#include "overlay/drawing/type.h"
#include "overlay/music/shapes/fret_window.h"
#include "overlay/music/shapes/shape.h"

#include <vector>

// The picture of a shape: strings upright, the nut at the top. The same for film and paper.
namespace tabard::overlay {

enum class TopEdge { nut, capo };
enum class FingerNumbers { shown, left_out };

/// Fingers that stay where they are, as positions in Shape::frets. A finger in both is drawn as anchored.
struct FingerMarks {
    std::vector<int> staying;  ///< until the next shape: a ring
    std::vector<int> anchored; ///< through the whole part: a square
};

struct DiagramStyle {
    Colour ink; ///< nut, marks above the strings, fret number
    Colour fret;
    Colour string;
    Colour dot;
    Colour on_dot;
    Colour accent; ///< round a finger that stays
    Colour paper;  ///< behind it all, for the gap between a dot and what is round it
    TopEdge top = TopEdge::nut;
    FingerNumbers numbers = FingerNumbers::shown;
    bool left_handed = false;
    double number_size = 0;      ///< em of finger numbers in drawing units; 0: as large as dots hold
    double fret_number_size = 0; ///< em of the first fret's number; 0: in proportion
};

/// How much room marks take outside the grid, in parts of the distance between strings.
constexpr double kMarksAbove = 0.86;
constexpr double kOverhang = 0.5;          ///< left, right: half a dot
constexpr double kFretNumberBeside = 0.95; ///< further out where the first-fret number stands

/// Draws `shape` with its outer strings on the left and right edge of `grid`, first fret space at its top. Muted and
/// open signs stand above, the number of the first fret beside it (on the bass side). A shape of no
/// strings draws nothing.
void draw_diagram(cairo_t& cr, Type const& type, Shape const& shape, FingerMarks const& marks, Box grid,
                  DiagramStyle const& style);

} // namespace tabard::overlay
