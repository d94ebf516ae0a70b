#include "overlay/drawing/fonts.h"

#include <algorithm>
#include <memory>

#include <pango/pangocairo.h>

namespace tabard::overlay {

std::vector<std::string> missing_fonts(std::vector<std::string> const& families)
{
    PangoFontFamily** list = nullptr;
    int count = 0;
    pango_font_map_list_families(pango_cairo_font_map_get_default(), &list, &count);
    std::unique_ptr<PangoFontFamily*, decltype(&g_free)> const owner{list, g_free};
    std::vector<std::string> missing;
    std::ranges::copy_if(families, std::back_inserter(missing), [&](std::string const& wanted) {
        return std::none_of(list, list + count,
                            [&](PangoFontFamily* family) { return pango_font_family_get_name(family) == wanted; });
    });
    return missing;
}

} // namespace tabard::overlay
