#include "sample_media/make/pen.h"

#include <cmath>

namespace tabard::lantern {
namespace {

double part(Colour colour, int shift) { return ((colour >> shift) & 0xff) / 255.0; }

} // namespace

Pen::Pen(int width, int height)
    : m_surface(cairo_image_surface_create(CAIRO_FORMAT_RGB24, width, height)), m_cairo(cairo_create(m_surface.get()))
{
    cairo_set_line_cap(m_cairo.get(), CAIRO_LINE_CAP_ROUND);
    cairo_set_line_join(m_cairo.get(), CAIRO_LINE_JOIN_ROUND);
}

void Pen::turn(Point origin, double degrees)
{
    cairo_save(m_cairo.get());
    cairo_translate(m_cairo.get(), origin.x, origin.y);
    cairo_rotate(m_cairo.get(), degrees * M_PI / 180);
}

void Pen::back() { cairo_restore(m_cairo.get()); }

Point Pen::in_picture(Point local) const
{
    cairo_user_to_device(m_cairo.get(), &local.x, &local.y);
    return local;
}

void Pen::fill(Colour colour, double alpha)
{
    cairo_set_source_rgba(m_cairo.get(), part(colour, 16), part(colour, 8), part(colour, 0), alpha);
    cairo_fill(m_cairo.get());
}

void Pen::fill(Point from, Point to, std::vector<Stop> const& stops)
{
    auto* const pattern = cairo_pattern_create_linear(from.x, from.y, to.x, to.y);
    for (auto const& stop : stops)
        cairo_pattern_add_color_stop_rgba(pattern, stop.at, part(stop.colour, 16), part(stop.colour, 8),
                                          part(stop.colour, 0), stop.alpha);
    cairo_set_source(m_cairo.get(), pattern);
    cairo_fill(m_cairo.get());
    cairo_pattern_destroy(pattern);
}

void Pen::line(Colour colour, double width, double alpha)
{
    cairo_set_source_rgba(m_cairo.get(), part(colour, 16), part(colour, 8), part(colour, 0), alpha);
    cairo_set_line_width(m_cairo.get(), width);
    cairo_stroke(m_cairo.get());
}

Pen& Pen::path(std::vector<Point> const& corners)
{
    cairo_new_sub_path(m_cairo.get());
    for (auto const& corner : corners)
        cairo_line_to(m_cairo.get(), corner.x, corner.y);
    cairo_close_path(m_cairo.get());
    return *this;
}

/// Catmull-Rom: each piece leaves a point in the direction of its two neighbours.
void Pen::smooth(std::vector<Point> const& points, bool closed)
{
    auto const count = points.size();
    auto const at = [&](std::size_t i) {
        if (closed)
            return points[(i + count - 1) % count]; // shifted by one, so that i = 0 is the last point
        return points[i == 0 ? 0 : i - 1 < count ? i - 1 : count - 1];
    };
    cairo_move_to(m_cairo.get(), points[0].x, points[0].y);
    for (std::size_t i = 0; i + (closed ? 0 : 1) < count; ++i) {
        Point const from = at(i + 1);
        Point const to = at(i + 2);
        Point const leave = from + (to - at(i)) * (1 / 6.0);
        Point const arrive = to - (at(i + 3) - from) * (1 / 6.0);
        cairo_curve_to(m_cairo.get(), leave.x, leave.y, arrive.x, arrive.y, to.x, to.y);
    }
}

Pen& Pen::curve(std::vector<Point> const& through)
{
    smooth(through, true);
    cairo_close_path(m_cairo.get());
    return *this;
}

Pen& Pen::open_curve(std::vector<Point> const& through)
{
    smooth(through, false);
    return *this;
}

Pen& Pen::oval(Point centre, double rx, double ry, double degrees)
{
    cairo_save(m_cairo.get());
    cairo_translate(m_cairo.get(), centre.x, centre.y);
    cairo_rotate(m_cairo.get(), degrees * M_PI / 180);
    cairo_scale(m_cairo.get(), rx, ry);
    cairo_new_sub_path(m_cairo.get());
    cairo_arc(m_cairo.get(), 0, 0, 1, 0, 2 * M_PI);
    cairo_restore(m_cairo.get());
    return *this;
}

Pen& Pen::box(Point corner, double width, double height, double radius)
{
    if (radius <= 0) {
        cairo_rectangle(m_cairo.get(), corner.x, corner.y, width, height);
        return *this;
    }
    Point const far{corner.x + width, corner.y + height};
    cairo_new_sub_path(m_cairo.get());
    cairo_arc(m_cairo.get(), far.x - radius, corner.y + radius, radius, -M_PI / 2, 0);
    cairo_arc(m_cairo.get(), far.x - radius, far.y - radius, radius, 0, M_PI / 2);
    cairo_arc(m_cairo.get(), corner.x + radius, far.y - radius, radius, M_PI / 2, M_PI);
    cairo_arc(m_cairo.get(), corner.x + radius, corner.y + radius, radius, M_PI, 1.5 * M_PI);
    cairo_close_path(m_cairo.get());
    return *this;
}

void Pen::limb(std::vector<Point> const& through, double width, Colour colour)
{
    open_curve(through).line(colour, width);
}

void Pen::glow(Point centre, double radius, Colour colour, double alpha)
{
    auto* const pattern = cairo_pattern_create_radial(centre.x, centre.y, 0, centre.x, centre.y, radius);
    for (double const at : {0.0, 0.25, 0.5, 0.75, 1.0})
        cairo_pattern_add_color_stop_rgba(pattern, at, part(colour, 16), part(colour, 8), part(colour, 0),
                                          alpha * (1 - at) * (1 - at));
    cairo_set_source(m_cairo.get(), pattern);
    oval(centre, radius, radius);
    cairo_fill(m_cairo.get());
    cairo_pattern_destroy(pattern);
}

void Pen::paint(Pen const& other)
{
    cairo_surface_flush(other.m_surface.get());
    cairo_set_source_surface(m_cairo.get(), other.m_surface.get(), 0, 0);
    cairo_paint(m_cairo.get());
}

std::uint8_t const* Pen::pixels() const
{
    cairo_surface_flush(m_surface.get());
    return cairo_image_surface_get_data(m_surface.get());
}

std::size_t Pen::bytes() const
{
    return static_cast<std::size_t>(cairo_image_surface_get_stride(m_surface.get()) *
                                    cairo_image_surface_get_height(m_surface.get()));
}

bool Pen::write_png(std::filesystem::path const& path) const
{
    return cairo_surface_write_to_png(m_surface.get(), path.c_str()) == CAIRO_STATUS_SUCCESS;
}

} // namespace tabard::lantern
