#include "overlay/drawing/theme.h"

#include <cstdint>
#include <cstdlib>

extern "C" int LLVMFuzzerTestOneInput(std::uint8_t const* data, std::size_t size)
{
    using namespace tabard::overlay;
    auto const theme = parse_theme({reinterpret_cast<char const*>(data), size});
    if (theme && lowest_text_contrast(*theme) < 4.5)
        std::abort(); // an illegible theme got through
    return 0;
}
