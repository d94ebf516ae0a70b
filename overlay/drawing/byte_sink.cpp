#include "overlay/drawing/byte_sink.h"

#include <cstddef>
#include <vector>

namespace tabard::overlay {

cairo_status_t append_bytes(void* bytes, unsigned char const* data, unsigned int length) noexcept
{
    try {
        auto& sink = *static_cast<std::vector<std::byte>*>(bytes);
        auto const* const first = reinterpret_cast<std::byte const*>(data);
        sink.insert(sink.end(), first, first + length);
        return CAIRO_STATUS_SUCCESS;
    } catch (...) { // an exception must not cross the C frames of Cairo
        return CAIRO_STATUS_NO_MEMORY;
    }
}

} // namespace tabard::overlay
