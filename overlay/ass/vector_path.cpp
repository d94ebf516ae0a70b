#include "overlay/ass/vector_path.h"

#include "overlay/base/precondition.h"

#include <algorithm>
#include <array>
#include <charconv>

namespace tabard::overlay {
namespace {

void append_number(int number, std::string& text)
{
    std::array<char, 12> digits{};
    text.append(digits.data(), std::to_chars(digits.data(), digits.data() + digits.size(), number).ptr);
    text += ' ';
}

} // namespace

void VectorPath::move(PathPoint to)
{
    steps.push_back(Step::move);
    points.push_back(to);
}

void VectorPath::line(PathPoint to)
{
    steps.push_back(Step::line);
    points.push_back(to);
}

void VectorPath::curve(PathPoint first, PathPoint second, PathPoint to)
{
    steps.push_back(Step::curve);
    points.insert(points.end(), {first, second, to});
}

void VectorPath::append(VectorPath const& other)
{
    steps.insert(steps.end(), other.steps.begin(), other.steps.end());
    points.insert(points.end(), other.points.begin(), other.points.end());
}

bool PathBounds::meets(PathBounds const& other) const
{
    return least.x <= other.most.x && other.least.x <= most.x && least.y <= other.most.y && other.least.y <= most.y;
}

PathBounds bounds_of(VectorPath const& path)
{
    PRECONDITION(!path.points.empty());
    auto const [left, right] = std::ranges::minmax(path.points, {}, &PathPoint::x);
    auto const [top, bottom] = std::ranges::minmax(path.points, {}, &PathPoint::y);
    return {{left.x, top.y}, {right.x, bottom.y}};
}

double signed_area(VectorPath const& path)
{
    double area = 0;
    for (std::size_t i = 0; i < path.points.size(); ++i) {
        PathPoint const a = path.points[i];
        PathPoint const b = path.points[(i + 1) % path.points.size()];
        area += static_cast<double>(a.x) * b.y - static_cast<double>(b.x) * a.y;
    }
    return area;
}

VectorPath reversed(VectorPath const& path)
{
    PRECONDITION(!path.empty() && path.steps.front() == VectorPath::Step::move);
    VectorPath back = path;
    std::ranges::reverse(back.points);
    std::reverse(std::next(back.steps.begin()), back.steps.end());
    return back;
}

namespace {

/// The ends of its lines and curves. None of a path of several outlines.
std::vector<PathPoint> corners_of(VectorPath const& path)
{
    std::vector<PathPoint> corners;
    std::size_t at = 0;
    for (VectorPath::Step const step : path.steps) {
        if (step == VectorPath::Step::move && !corners.empty())
            return {};
        at += step == VectorPath::Step::curve ? 3 : 1;
        corners.push_back(path.points[at - 1]);
    }
    return corners;
}

double turn(PathPoint a, PathPoint b, PathPoint c)
{
    return static_cast<double>(b.x - a.x) * (c.y - a.y) - static_cast<double>(b.y - a.y) * (c.x - a.x);
}

} // namespace

bool covers(VectorPath const& outline, PathBounds const& inner)
{
    std::vector<PathPoint> const corners = corners_of(outline);
    std::size_t const count = corners.size();
    if (count < 3)
        return false;
    double const way = signed_area(outline) > 0 ? 1 : -1;
    for (std::size_t i = 0; i < count; ++i) {
        PathPoint const a = corners[i];
        PathPoint const b = corners[(i + 1) % count];
        if (way * turn(a, b, corners[(i + 2) % count]) < 0)
            return false; // not convex
        for (PathPoint const p :
             {inner.least, inner.most, PathPoint{inner.least.x, inner.most.y}, PathPoint{inner.most.x, inner.least.y}})
            if (way * turn(a, b, p) < 0)
                return false;
    }
    return true;
}

std::string drawing_commands(VectorPath const& path, PathPoint origin)
{
    std::string commands;
    auto point = path.points.begin();
    char last = ' ';
    for (VectorPath::Step const step : path.steps) {
        char const letter = step == VectorPath::Step::move ? 'm' : step == VectorPath::Step::line ? 'l' : 'b';
        if (letter != last || letter == 'm')
            commands.append({letter, ' '});
        last = letter;
        for (int i = 0; i < (letter == 'b' ? 3 : 1); ++i, ++point) {
            append_number(point->x - origin.x, commands);
            append_number(point->y - origin.y, commands);
        }
    }
    if (!commands.empty())
        commands.pop_back();
    return commands;
}

} // namespace tabard::overlay
