#pragma once
#include <compare>
#include <string>
#include <vector>

namespace tabard::overlay {

/// A place in sixteenths of a display pixel: what a drawing of Advanced SubStation Alpha counts in after \p5.
constexpr int kPathUnits = 16;
struct PathPoint {
    int x = 0;
    int y = 0;
    friend auto operator<=>(PathPoint const&, PathPoint const&) = default;
};

/// Closed outlines, filled by the nonzero winding rule.
struct VectorPath {
    enum class Step { move, line, curve };
    std::vector<Step> steps;
    std::vector<PathPoint> points; ///< one a step, three a curve (two control points and its end)

    void move(PathPoint to);
    void line(PathPoint to);
    void curve(PathPoint first, PathPoint second, PathPoint to);
    void append(VectorPath const& other);
    bool empty() const { return steps.empty(); }

    friend auto operator<=>(VectorPath const&, VectorPath const&) = default;
};

/// A rectangle of whole units that holds its edges.
struct PathBounds {
    PathPoint least;
    PathPoint most;
    bool meets(PathBounds const& other) const;
    friend auto operator<=>(PathBounds const&, PathBounds const&) = default;
};
/// Of all points, control points too. `path` is not empty.
PathBounds bounds_of(VectorPath const& path);

/// Twice the area inside, of all its points joined by lines: its sign says which way a simple outline runs.
double signed_area(VectorPath const& path);
/// A single outline run the other way.
VectorPath reversed(VectorPath const& path);

/// Whether all of `inner` lies inside: of a convex outline only, and not nearer to it than its curves are to their
/// chords.
bool covers(VectorPath const& outline, PathBounds const& inner);

/// The commands of a drawing ("m 0 0 l 16 0 16 16"), with `origin` at 0 0.
std::string drawing_commands(VectorPath const& path, PathPoint origin);

} // namespace tabard::overlay
