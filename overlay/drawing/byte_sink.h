#pragma once
#include <cairo.h>

namespace tabard::overlay {

/// A cairo_write_func_t whose closure is a std::vector<std::byte> that the data is appended to.
cairo_status_t append_bytes(void* bytes, unsigned char const* data, unsigned int length) noexcept;

} // namespace tabard::overlay
