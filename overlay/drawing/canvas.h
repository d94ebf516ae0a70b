#pragma once
#include "overlay/drawing/bitmap.h"
#include "overlay/drawing/box.h"
#include "overlay/drawing/colour.h"

#include <memory>

#include <cairo.h>

struct _PangoLayout;

// Cairo behind owning types. For overlay/drawing, overlay/sheet and overlay/ass only.
namespace tabard::overlay {

template <auto Release>
struct CairoReleaser {
    template <class T>
    void operator()(T* handle) const noexcept
    {
        Release(handle);
    }
};
using Surface = std::unique_ptr<cairo_surface_t, CairoReleaser<cairo_surface_destroy>>;
using Context = std::unique_ptr<cairo_t, CairoReleaser<cairo_destroy>>;

struct Point {
    double x = 0;
    double y = 0;
};

/// Words and numbers, or signs such as accidentals, whose face is another and made bolder (TextStyle::signs).
enum class Letters { words, signs };

/// Takes a drawing in place of pixels: each area, line and text as it comes, at the context's own scale.
class VectorTarget {
public:
    virtual ~VectorTarget() = default;
    virtual void fill(cairo_t& cr, Colour colour) = 0; ///< the context's path
    virtual void stroke(cairo_t& cr, Colour colour, double width) = 0;
    /// The text with its top-left corner at the context's current point.
    virtual void show(cairo_t& cr, _PangoLayout& text, Colour colour, Letters letters) = 0;
};
/// What fill(), stroke() and Type draw on `cr` goes to `target` from now on. Borrowed.
void draw_onto(VectorTarget& target, cairo_t& cr);
VectorTarget* vector_target(cairo_t& cr); ///< null: pixels

/// Copies `bitmap` with its top-left corner at `position` of an ARGB32 image surface that is large enough.
void copy_into(Bitmap const& bitmap, RectPx position, cairo_surface_t& surface);

/// What is inked of an ARGB32 image surface, cropped; `origin` is where the surface's corner lies in the picture.
Bitmap crop_to_ink(cairo_surface_t& surface, RectPx origin);

void set_colour(cairo_t& cr, Colour colour);
void fill(cairo_t& cr, Colour colour);
void stroke(cairo_t& cr, Colour colour, double width);

/// Adds the outline of a box with round corners to the path.
void round_box(cairo_t& cr, Box box, double radius);
void circle(cairo_t& cr, Point centre, double radius);
void line(cairo_t& cr, Point from, Point to);

} // namespace tabard::overlay
