#pragma once
#include "overlay/base/result.h"
#include "overlay/drawing/bitmap.h"

#include <cstddef>
#include <vector>

namespace tabard::overlay {

/// The bytes of a PNG file (RGBA, 8 bits) with the pixels of `bitmap`; `at.x` and `at.y` play no part.
/// Fails with invalid_input for an empty bitmap.
Result<std::vector<std::byte>> encode_png(Bitmap const& bitmap);

} // namespace tabard::overlay
