#include "overlay/drawing/png.h"

#include "overlay/drawing/canvas.h"

#include <cairo.h>

namespace tabard::overlay {
namespace {

cairo_status_t append(void* sink, unsigned char const* data, unsigned int length) noexcept
{
    try {
        auto& bytes = *static_cast<std::vector<std::byte>*>(sink);
        auto const* const first = reinterpret_cast<std::byte const*>(data);
        bytes.insert(bytes.end(), first, first + length);
        return CAIRO_STATUS_SUCCESS;
    } catch (...) { // an exception must not cross the C frames of Cairo
        return CAIRO_STATUS_NO_MEMORY;
    }
}

} // namespace

Result<std::vector<std::byte>> encode_png(Bitmap const& bitmap)
{
    if (bitmap.at.empty())
        return Error{ErrorKind::invalid_input, "there is no picture to write as PNG: it has no pixels"};
    Surface const surface{cairo_image_surface_create(CAIRO_FORMAT_ARGB32, bitmap.at.width, bitmap.at.height)};
    copy_into(bitmap, {0, 0}, *surface);
    std::vector<std::byte> bytes;
    if (auto const status = cairo_surface_write_to_png_stream(surface.get(), append, &bytes);
        status != CAIRO_STATUS_SUCCESS)
        return Error{ErrorKind::io, std::string{"cannot write a PNG: "} + cairo_status_to_string(status)};
    return bytes;
}

} // namespace tabard::overlay
