#pragma once
#include "overlay/drawing/type.h"
#include "overlay/music/shapes/fret_window.h"
#include "overlay/music/shapes/shape.h"

#include <vector>

// The picture of a shape: strings upright, the nut at the top. The same for film and paper.
namespace tabard::overlay {

enum class TopEdge { nut, capo };
/// Left out where the diagram is too small for them; so are the signs above the strings then.
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
    int least_rows = 4;          ///< frets that are shown, if the shape needs no more
    int capo_fret = 0;           ///< written on the capo; 0: nothing is
    Colour capo{0x5C, 0x5C, 0x5C};
    Colour on_capo{0xFF, 0xFF, 0xFF};
};

/// How much room marks take outside the grid, in parts of the distance between strings.
constexpr double kMarksAbove = 0.86;
constexpr double kOverhang = 0.5;         ///< left, right: half a dot
constexpr double kFretNumberBeside = 1.0; ///< further out where the numbers of the first fret and of the capo stand

/// The shape that comes next, while fingers prepare for it: those that move there are drawn hollow. None are drawn
/// where some of them lie outside of the frets that the diagram shows, for half a shape would be a wrong one.
using ComingShape = Shape const*;

/// Draws `shape` with its outer strings on the left and right edge of `grid`, first fret space at its top. Muted and
/// open signs stand above, the number of the first fret beside it (on the bass side). A capo is a
/// bar over all strings that those signs stand on, of its own colour. A shape of no strings draws nothing.
void draw_diagram(cairo_t& cr, Type const& type, Shape const& shape, FingerMarks const& marks, Box grid,
                  DiagramStyle const& style, ComingShape coming = nullptr);

} // namespace tabard::overlay
