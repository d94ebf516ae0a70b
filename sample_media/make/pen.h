#pragma once
#include <cstdint>
#include <filesystem>
#include <memory>
#include <vector>

#include <cairo.h>

namespace tabard::lantern {

struct Point {
    double x = 0;
    double y = 0;
    friend Point operator+(Point a, Point b) { return {a.x + b.x, a.y + b.y}; }
    friend Point operator-(Point a, Point b) { return {a.x - b.x, a.y - b.y}; }
    friend Point operator*(Point a, double k) { return {a.x * k, a.y * k}; }
};

/// From `a` to `b` as `share` goes from 0 to 1.
inline Point between(Point a, Point b, double share) { return a + (b - a) * share; }
inline double between(double a, double b, double share) { return a + (b - a) * share; }

/// 0xRRGGBB.
using Colour = std::uint32_t;

struct Stop {
    double at = 0;
    Colour colour = 0;
    double alpha = 1;
};

/// A picture in memory and the few strokes that our drawings are made of. Pixels, origin top left, y down.
class Pen {
public:
    Pen(int width, int height);

    void turn(Point origin, double degrees); ///< moves the origin there and turns clockwise, until back()
    void back();
    Point in_picture(Point local) const; ///< where a point of the turned drawing lies in the picture

    void fill(Colour colour, double alpha = 1); ///< the path so far
    void fill(Point from, Point to, std::vector<Stop> const& stops);
    void line(Colour colour, double width, double alpha = 1); ///< along the path so far, with round ends

    Pen& path(std::vector<Point> const& corners);       ///< straight, closed
    Pen& curve(std::vector<Point> const& through);      ///< smooth and closed through all points
    Pen& open_curve(std::vector<Point> const& through); ///< smooth, with ends
    Pen& oval(Point centre, double rx, double ry, double degrees = 0);
    Pen& box(Point corner, double width, double height, double radius = 0);
    /// A thick line with round ends, as a limb.
    void limb(std::vector<Point> const& through, double width, Colour colour);
    void glow(Point centre, double radius, Colour colour, double alpha);
    void paint(Pen const& other); ///< all of another picture of the same size

    std::uint8_t const* pixels() const; ///< BGRA, rows without gaps
    std::size_t bytes() const;
    bool write_png(std::filesystem::path const& path) const;

private:
    void smooth(std::vector<Point> const& points, bool closed);
    struct Surface {
        void operator()(cairo_surface_t* surface) const noexcept { cairo_surface_destroy(surface); }
    };
    struct Context {
        void operator()(cairo_t* cairo) const noexcept { cairo_destroy(cairo); }
    };
    std::unique_ptr<cairo_surface_t, Surface> m_surface;
    std::unique_ptr<cairo_t, Context> m_cairo;
};

} // namespace tabard::lantern
