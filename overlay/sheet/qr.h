#pragma once
#include "overlay/base/result.h"

#include <string>
#include <vector>

namespace tabard::overlay::sheet {

/// The modules of a QR code (ISO/IEC 18004, error correction level M), true for dark; without the quiet zone.
struct QrCode {
    int side = 0;
    std::vector<bool> dark; ///< side * side, row by row
};
Result<QrCode> encode_qr(std::string const& text);

} // namespace tabard::overlay::sheet
