#include "overlay/ass/stroke_outline.h"

#include <algorithm>
#include <cmath>
#include <memory>
#include <optional>
#include <utility>

namespace tabard::overlay {
namespace {

constexpr double kMiterLimit = 10;      // Cairo's
constexpr double kArc = 0.552284749831; // control points of a quarter of a circle, in radii
constexpr double kTiny = 1e-6;

Point operator+(Point a, Point b) { return {a.x + b.x, a.y + b.y}; }
Point operator-(Point a, Point b) { return {a.x - b.x, a.y - b.y}; }
Point operator*(double k, Point a) { return {k * a.x, k * a.y}; }
double cross(Point a, Point b) { return a.x * b.y - a.y * b.x; }
double length(Point a) { return std::hypot(a.x, a.y); }
bool same(Point a, Point b) { return length(a - b) < kTiny; }
Point unit(Point a) { return 1 / std::max(length(a), kTiny) * a; }
Point left_of(Point direction) { return {direction.y, -direction.x}; }

LineSegment straight(Point from, Point to) { return {from, from, to, to, false}; }

Point start_direction(LineSegment const& s)
{
    for (Point const next : {s.first, s.second, s.to})
        if (!same(next, s.from))
            return unit(next - s.from);
    return {1, 0};
}

Point end_direction(LineSegment const& s)
{
    for (Point const before : {s.second, s.first, s.from})
        if (!same(before, s.to))
            return unit(s.to - before);
    return {1, 0};
}

LineSegment turned_round(LineSegment const& s) { return {s.to, s.second, s.first, s.from, s.curved}; }

Subpath turned_round(Subpath const& path)
{
    Subpath back{{}, path.closed};
    for (auto s = path.segments.rbegin(); s != path.segments.rend(); ++s)
        back.segments.push_back(turned_round(*s));
    return back;
}

/// The segment moved to its left. An arc of a circle stays one: its control points keep their part of the chord.
LineSegment beside(LineSegment const& s, double distance)
{
    Point const from = s.from + distance * left_of(start_direction(s));
    Point const to = s.to + distance * left_of(end_direction(s));
    if (!s.curved)
        return straight(from, to);
    double const chord = length(s.to - s.from);
    double const scale = chord > kTiny ? length(to - from) / chord : 1;
    return {from, from + scale * (s.first - s.from), to + scale * (s.second - s.to), to, true};
}

std::optional<Point> crossing(Point a, Point along_a, Point b, Point along_b)
{
    double const turn = cross(along_a, along_b);
    if (std::abs(turn) < kTiny)
        return std::nullopt;
    return a + cross(b - a, along_b) / turn * along_a;
}

/// Brings the end of `before` and the start of `after` together; gives what stands between them.
std::vector<LineSegment> join(LineSegment& before, LineSegment& after, double distance)
{
    if (length(after.from - before.to) < 1e-3)
        return {};
    auto const corner = crossing(before.to, end_direction(before), after.from, start_direction(after));
    if (!corner || length(*corner - before.to) > kMiterLimit * std::abs(distance))
        return {straight(before.to, after.from)};
    if (!before.curved && !after.curved) {
        before = straight(before.from, *corner);
        after = straight(*corner, after.to);
        return {};
    }
    return {straight(before.to, *corner), straight(*corner, after.from)};
}

/// The path moved to its left.
std::vector<LineSegment> beside(Subpath const& path, double distance)
{
    std::vector<LineSegment> moved;
    for (LineSegment const& s : path.segments)
        moved.push_back(beside(s, distance));
    std::vector<std::vector<LineSegment>> joins(moved.size());
    std::size_t const corners = path.closed ? moved.size() : moved.size() - 1;
    for (std::size_t i = 0; i < corners; ++i)
        joins[i] = join(moved[i], moved[(i + 1) % moved.size()], distance);
    std::vector<LineSegment> all;
    for (std::size_t i = 0; i < moved.size(); ++i) {
        all.push_back(moved[i]);
        all.insert(all.end(), joins[i].begin(), joins[i].end());
    }
    return all;
}

LineSegment quarter(Point centre, Point from, Point to)
{
    return {centre + from, centre + from + kArc * to, centre + to + kArc * from, centre + to, true};
}

void add_cap(std::vector<LineSegment>& outline, LineSegment const& last, double half, LineCap cap)
{
    Point const ahead = half * end_direction(last);
    Point const side = half * left_of(end_direction(last));
    if (cap == LineCap::butt) {
        outline.push_back(straight(last.to + side, last.to - side));
        return;
    }
    outline.push_back(quarter(last.to, side, ahead));
    outline.push_back(quarter(last.to, ahead, -1 * side));
}

void add(std::vector<Subpath>& paths, Subpath path)
{
    if (path.closed && !path.segments.empty() && !same(path.segments.back().to, path.segments.front().from))
        path.segments.push_back(straight(path.segments.back().to, path.segments.front().from));
    if (!path.segments.empty())
        paths.push_back(std::move(path));
}

} // namespace

std::vector<Subpath> subpaths_of(cairo_t& cr)
{
    std::unique_ptr<cairo_path_t, CairoReleaser<cairo_path_destroy>> const path{cairo_copy_path(&cr)};
    std::vector<Subpath> all;
    Subpath current;
    Point at;
    for (int i = 0; i < path->num_data; i += path->data[i].header.length) {
        auto const* const data = &path->data[i];
        auto const point = [&](int n) { return Point{data[n].point.x, data[n].point.y}; };
        auto const add_segment = [&](LineSegment const& s) {
            if (!same(s.from, s.to) || s.curved)
                current.segments.push_back(s);
            at = s.to;
        };
        switch (data->header.type) {
        case CAIRO_PATH_MOVE_TO:
            add(all, std::exchange(current, {}));
            at = point(1);
            break;
        case CAIRO_PATH_LINE_TO:
            add_segment(straight(at, point(1)));
            break;
        case CAIRO_PATH_CURVE_TO:
            add_segment({at, point(1), point(2), point(3), true});
            break;
        case CAIRO_PATH_CLOSE_PATH:
            current.closed = true;
            add(all, std::exchange(current, {}));
            break;
        }
    }
    add(all, std::move(current));
    return all;
}

std::vector<Subpath> stroke_outlines(Subpath const& path, double width, LineCap cap)
{
    double const half = width / 2;
    if (path.closed)
        return {{beside(path, half), true}, {beside(path, -half), true}};
    Subpath outline{beside(path, half), true};
    add_cap(outline.segments, path.segments.back(), half, cap);
    Subpath const back = turned_round(path);
    auto const other_side = beside(back, half);
    outline.segments.insert(outline.segments.end(), other_side.begin(), other_side.end());
    add_cap(outline.segments, back.segments.back(), half, cap);
    return {std::move(outline)};
}

} // namespace tabard::overlay
