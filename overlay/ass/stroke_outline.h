#pragma once
#include "overlay/drawing/canvas.h"

#include <vector>

// What a line covers, as an outline to fill. For this folder only.
namespace tabard::overlay {

/// A line or, with two control points, a curve. In drawing units, as all of this header.
struct LineSegment {
    Point from;
    Point first; ///< control points; of a straight line they are its ends
    Point second;
    Point to;
    bool curved = false;
};

/// One stretch of a path.
struct Subpath {
    std::vector<LineSegment> segments;
    bool closed = false;
};
/// The stretches of a context's path, in user space. One without a length is left out.
std::vector<Subpath> subpaths_of(cairo_t& cr);

enum class LineCap { butt, round };

/// Outlines of a line of the given width, mitred at its corners: one of an open stretch, two of a closed one, the inner
/// of which is to be a hole. Arcs of circles keep their distance, other curves nearly.
std::vector<Subpath> stroke_outlines(Subpath const& path, double width, LineCap cap);

} // namespace tabard::overlay
