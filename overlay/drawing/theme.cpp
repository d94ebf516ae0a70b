#include "overlay/drawing/theme.h"

#include "overlay/base/json_reader.h"

#include <algorithm>
#include <array>
#include <cstdint>
#include <vector>

#include <fmt/format.h>
#include <nlohmann/json.hpp>

namespace tabard::overlay {
namespace {

struct ColourKey {
    char const* name;
    Colour Theme::*member;
};
constexpr std::array kColourKeys{
    ColourKey{"card", &Theme::card},     ColourKey{"edge", &Theme::edge},
    ColourKey{"ink", &Theme::ink},       ColourKey{"soft_ink", &Theme::soft_ink},
    ColourKey{"line", &Theme::line},     ColourKey{"string", &Theme::string},
    ColourKey{"dot", &Theme::dot},       ColourKey{"on_dot", &Theme::on_dot},
    ColourKey{"accent", &Theme::accent}, ColourKey{"on_accent", &Theme::on_accent},
    ColourKey{"capo", &Theme::capo},     ColourKey{"on_capo", &Theme::on_capo},
};

constexpr JsonLimits kThemeFile{.bytes = 1 << 20, .advice = "a theme needs no more than a few lines"};

Error wrong(std::string what) { return {ErrorKind::invalid_input, "theme: " + std::move(what)}; }

/// Text and what it stands on, both as theme keys.
struct TextPair {
    char const* text;
    char const* ground;
    double contrast;
};

/// With the card over `footage`.
TextPair lowest_pair(Theme const& theme, Colour footage)
{
    Colour const card = over(theme.card, footage);
    Colour const marked = over(theme.tint(), card);
    std::array const pairs{TextPair{"on_dot", "dot", contrast_ratio(theme.on_dot, over(theme.dot, {}))},
                           TextPair{"on_accent", "accent", contrast_ratio(theme.on_accent, over(theme.accent, {}))},
                           TextPair{"on_capo", "capo", contrast_ratio(theme.on_capo, over(theme.capo, {}))},
                           TextPair{"ink", "card", contrast_ratio(theme.ink, card)},
                           TextPair{"soft_ink", "card", contrast_ratio(theme.soft_ink, card)},
                           TextPair{"accent", "card", contrast_ratio(theme.accent, card)},
                           TextPair{"ink", "card", contrast_ratio(theme.ink, marked)},
                           TextPair{"soft_ink", "card", contrast_ratio(theme.soft_ink, marked)}};
    return *std::ranges::min_element(pairs, {}, &TextPair::contrast);
}

/// The lowest pair over each grey that may be behind the card. A mid-grey text is legible over black and over white and
/// lost over a grey in between, so the two ends are not enough.
std::vector<TextPair> pairs_over_greys(Theme const& theme)
{
    std::vector<TextPair> pairs;
    for (int grey = 0; grey < 256; ++grey) {
        auto const part = static_cast<std::uint8_t>(grey);
        pairs.push_back(lowest_pair(theme, {part, part, part}));
    }
    return pairs;
}

Result<void> read_colours(nlohmann::ordered_json const& colours, Theme& theme)
{
    if (!colours.is_object())
        return wrong("\"colours\" must be an object");
    for (auto const& [key, value] : colours.items()) {
        auto const* const known = std::ranges::find_if(kColourKeys, [&](auto const& k) { return k.name == key; });
        if (known == kColourKeys.end())
            return wrong(fmt::format("there is no colour \"{}\"", key));
        if (!value.is_string())
            return wrong(fmt::format("colour \"{}\" must be a text like \"#1B1A17\"", key));
        auto const colour = parse_colour(value.get_ref<std::string const&>());
        if (!colour)
            return wrong(fmt::format("colour \"{}\": {}", key, colour.error().what));
        theme.*(known->member) = *colour;
    }
    return {};
}

Result<void> read_key(std::string const& key, nlohmann::ordered_json const& value, Theme& theme)
{
    if (key == "tabard_theme" || key == "note" || key == "$schema")
        return {};
    if (key == "colours")
        return read_colours(value, theme);
    if (key == "name" || key == "font") {
        if (!value.is_string() || value.get_ref<std::string const&>().empty())
            return wrong(fmt::format("\"{}\" must be a text", key));
        (key == "name" ? theme.name : theme.font) = value;
        return {};
    }
    if (key == "corner_radius") {
        if (!value.is_number() || value < 0 || value > 60)
            return wrong("\"corner_radius\" must be a number from 0 to 60");
        theme.corner_radius = value;
        return {};
    }
    return wrong(fmt::format("unknown key \"{}\"", key));
}

} // namespace

Theme default_theme() { return {}; }

double lowest_text_contrast(Theme const& theme)
{
    return std::ranges::min(pairs_over_greys(theme), {}, &TextPair::contrast).contrast;
}

Result<Theme> parse_theme(std::string_view json)
{
    auto const parsed = parse_json(json, kThemeFile);
    if (!parsed)
        return wrong(parsed.error().what);
    auto const& document = *parsed;
    if (!document.is_object())
        return wrong("this is not a JSON object");
    if (!document.contains("tabard_theme") || document["tabard_theme"] != 1)
        return wrong("\"tabard_theme\": 1 is missing");
    Theme theme = default_theme();
    for (auto const& [key, value] : document.items())
        TRY_VOID(read_key(key, value, theme));
    auto const pair = std::ranges::max(pairs_over_greys(theme), {}, &TextPair::contrast);
    if (pair.contrast < kLeastTextContrast)
        return wrong(fmt::format("\"{}\" on \"{}\" has a contrast of {:.2f}:1; text needs 4.5:1", pair.text,
                                 pair.ground, pair.contrast));
    return theme;
}

} // namespace tabard::overlay
