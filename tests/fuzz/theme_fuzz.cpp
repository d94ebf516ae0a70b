#include "overlay/drawing/theme.h"

#include <algorithm>
#include <cstdint>
#include <cstdlib>

extern "C" int LLVMFuzzerTestOneInput(std::uint8_t const* data, std::size_t size)
{
    using namespace tabard::overlay;
    auto const theme = parse_theme({reinterpret_cast<char const*>(data), size});
    if (!theme)
        return 0;
    double best = 0;
    for (int grey = 0; grey < 256; ++grey) {
        auto const part = static_cast<std::uint8_t>(grey);
        best = std::max(best, contrast_ratio(theme->ink, over(theme->card, {part, part, part})));
    }
    if (best < kLeastTextContrast || contrast_ratio(theme->on_dot, over(theme->dot, {})) < kLeastTextContrast)
        std::abort(); // a theme got through that no footage makes legible
    return 0;
}
