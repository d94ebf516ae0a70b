#include "overlay/drawing/canvas.h"

#include "overlay/base/precondition.h"

#include <algorithm>
#include <cstddef>
#include <cstring>
#include <numbers>

namespace tabard::overlay {
namespace {

std::uint32_t* row(cairo_surface_t& surface, int y)
{
    auto* const bytes = cairo_image_surface_get_data(&surface);
    return reinterpret_cast<std::uint32_t*>(bytes + std::ptrdiff_t{cairo_image_surface_get_stride(&surface)} * y);
}

std::size_t row_bytes(RectPx rect) { return static_cast<std::size_t>(rect.width) * sizeof(std::uint32_t); }

/// The smallest rectangle of the surface that holds every pixel with any ink.
RectPx inked(cairo_surface_t& surface)
{
    int const width = cairo_image_surface_get_width(&surface);
    int const height = cairo_image_surface_get_height(&surface);
    int left = width;
    int right = 0;
    int top = height;
    int bottom = 0;
    for (int y = 0; y < height; ++y) {
        auto const* const begin = row(surface, y);
        auto const* const end = begin + width;
        auto const has_ink = [](std::uint32_t pixel) { return pixel != 0; };
        auto const* const first = std::find_if(begin, end, has_ink);
        if (first == end)
            continue;
        auto const* last = end;
        while (last[-1] == 0)
            --last;
        left = std::min(left, static_cast<int>(first - begin));
        right = std::max(right, static_cast<int>(last - begin));
        top = std::min(top, y);
        bottom = y + 1;
    }
    return {left, top, std::max(0, right - left), std::max(0, bottom - top)};
}

cairo_user_data_key_t const kTargetKey{};

} // namespace

void draw_onto(VectorTarget& target, cairo_t& cr)
{
    PRECONDITION(cairo_set_user_data(&cr, &kTargetKey, &target, nullptr) == CAIRO_STATUS_SUCCESS);
}

VectorTarget* vector_target(cairo_t& cr) { return static_cast<VectorTarget*>(cairo_get_user_data(&cr, &kTargetKey)); }

void copy_into(Bitmap const& bitmap, RectPx position, cairo_surface_t& surface)
{
    cairo_surface_flush(&surface);
    for (int y = 0; y < bitmap.at.height; ++y)
        std::memcpy(row(surface, position.y + y) + position.x,
                    bitmap.pixels.data() + static_cast<std::ptrdiff_t>(y) * bitmap.at.width, row_bytes(bitmap.at));
    cairo_surface_mark_dirty(&surface);
}

Bitmap crop_to_ink(cairo_surface_t& surface, RectPx origin)
{
    PRECONDITION(cairo_surface_status(&surface) == CAIRO_STATUS_SUCCESS);
    cairo_surface_flush(&surface);
    RectPx const ink = inked(surface);
    if (ink.empty())
        return {};
    Bitmap bitmap{{origin.x + ink.x, origin.y + ink.y, ink.width, ink.height}, {}};
    bitmap.pixels.resize(static_cast<std::size_t>(ink.width) * static_cast<std::size_t>(ink.height));
    for (int y = 0; y < ink.height; ++y)
        std::memcpy(bitmap.pixels.data() + static_cast<std::ptrdiff_t>(y) * ink.width, row(surface, ink.y + y) + ink.x,
                    row_bytes(ink));
    return bitmap;
}

void set_colour(cairo_t& cr, Colour colour)
{
    cairo_set_source_rgba(&cr, colour.red / 255.0, colour.green / 255.0, colour.blue / 255.0, colour.alpha / 255.0);
}

void fill(cairo_t& cr, Colour colour)
{
    if (VectorTarget* const target = vector_target(cr)) {
        target->fill(cr, colour);
        cairo_new_path(&cr);
        return;
    }
    set_colour(cr, colour);
    cairo_fill(&cr);
}

void stroke(cairo_t& cr, Colour colour, double width)
{
    if (VectorTarget* const target = vector_target(cr)) {
        target->stroke(cr, colour, width);
        cairo_new_path(&cr);
        return;
    }
    set_colour(cr, colour);
    cairo_set_line_width(&cr, width);
    cairo_stroke(&cr);
}

void round_box(cairo_t& cr, Box box, double radius)
{
    constexpr double kQuarter = std::numbers::pi / 2;
    double const r = std::min({radius, box.width / 2, box.height / 2});
    cairo_new_sub_path(&cr);
    cairo_arc(&cr, box.right() - r, box.y + r, r, -kQuarter, 0);
    cairo_arc(&cr, box.right() - r, box.bottom() - r, r, 0, kQuarter);
    cairo_arc(&cr, box.x + r, box.bottom() - r, r, kQuarter, 2 * kQuarter);
    cairo_arc(&cr, box.x + r, box.y + r, r, 2 * kQuarter, 3 * kQuarter);
    cairo_close_path(&cr);
}

void circle(cairo_t& cr, Point centre, double radius)
{
    cairo_new_sub_path(&cr);
    cairo_arc(&cr, centre.x, centre.y, radius, 0, 2 * std::numbers::pi);
    cairo_close_path(&cr);
}

void line(cairo_t& cr, Point from, Point to)
{
    cairo_move_to(&cr, from.x, from.y);
    cairo_line_to(&cr, to.x, to.y);
}

} // namespace tabard::overlay
