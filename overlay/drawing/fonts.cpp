#include "overlay/drawing/fonts.h"

#include "overlay/base/letters.h"
#include "overlay/drawing/type.h"

#include <algorithm>
#include <memory>
#include <string_view>

#include <pango/pangocairo.h>
#include <pango/pangofc-fontmap.h>

namespace tabard::overlay {
namespace {

/// Pango marks runs of emoji by asking for the family "emoji".
void name_outlines_first(FcPattern* pattern, void*)
{
    FcChar8* asked = nullptr;
    for (int i = 0; FcPatternGetString(pattern, FC_FAMILY, i, &asked) == FcResultMatch; ++i)
        if (std::string_view{reinterpret_cast<char const*>(asked)} == "emoji") {
            FcPatternDel(pattern, FC_FAMILY);
            for (char const* const family : {"Symbola", "DejaVu Sans", "emoji"})
                FcPatternAddString(pattern, FC_FAMILY, reinterpret_cast<FcChar8 const*>(family));
            return;
        }
}

} // namespace

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

std::vector<std::string> letters_without_glyphs(std::string_view text, std::string const& family)
{
    Surface const surface{cairo_image_surface_create(CAIRO_FORMAT_A8, 1, 1)};
    Context const cr{cairo_create(surface.get())};
    Type const type{*cr, family};
    std::vector<std::string> missing;
    if (type.missing_letters(text) == 0)
        return missing;
    while (!text.empty()) {
        std::string const letter{next_letter(text)};
        if (type.missing_letters(letter) > 0 && std::ranges::find(missing, letter) == missing.end())
            missing.push_back(letter);
        text.remove_prefix(letter.size());
    }
    return missing;
}

void find_installed_fonts() { FcInit(); }

void use_outlines_for_emoji()
{
    thread_local PangoFontMap* prepared = nullptr; // each thread has its own, and setting it anew empties its caches
    PangoFontMap* const fonts = pango_cairo_font_map_get_default();
    if (fonts == prepared || !PANGO_IS_FC_FONT_MAP(fonts))
        return;
    pango_fc_font_map_set_default_substitute(PANGO_FC_FONT_MAP(fonts), name_outlines_first, nullptr, nullptr);
    prepared = fonts;
}

} // namespace tabard::overlay
