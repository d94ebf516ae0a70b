#include "overlay/sheet/qr.h"

#include <memory>

#include <fmt/format.h>
#include <qrencode.h>

namespace tabard::overlay::sheet {

Result<QrCode> encode_qr(std::string const& text)
{
    std::unique_ptr<QRcode, decltype(&QRcode_free)> const code{
        QRcode_encodeData(static_cast<int>(text.size()), reinterpret_cast<unsigned char const*>(text.data()), 0,
                          QR_ECLEVEL_M),
        QRcode_free};
    if (!code)
        return Error{ErrorKind::invalid_input,
                     fmt::format("the link of {} bytes does not fit into a QR code: use a shorter one", text.size())};
    QrCode result{code->width, {}};
    for (int i = 0; i < code->width * code->width; ++i)
        result.dark.push_back((code->data[i] & 1) != 0); // libqrencode: the lowest bit is the module's colour
    return result;
}

} // namespace tabard::overlay::sheet
