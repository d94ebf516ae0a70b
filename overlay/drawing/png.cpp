#include "overlay/drawing/png.h"

#include "overlay/drawing/byte_sink.h"
#include "overlay/drawing/canvas.h"

#include <cairo.h>

namespace tabard::overlay {
Result<std::vector<std::byte>> encode_png(Bitmap const& bitmap)
{
    if (bitmap.at.empty())
        return Error{ErrorKind::invalid_input, "there is no picture to write as PNG: it has no pixels"};
    Surface const surface{cairo_image_surface_create(CAIRO_FORMAT_ARGB32, bitmap.at.width, bitmap.at.height)};
    copy_into(bitmap, {0, 0}, *surface);
    std::vector<std::byte> bytes;
    if (auto const status = cairo_surface_write_to_png_stream(surface.get(), append_bytes, &bytes);
        status != CAIRO_STATUS_SUCCESS)
        return Error{ErrorKind::io, std::string{"cannot write a PNG: "} + cairo_status_to_string(status)};
    return bytes;
}

} // namespace tabard::overlay
