#include "overlay/ass/script.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

namespace tabard::overlay {
namespace {

char const* const kAreaStyle = "Area";

/// As short as it is exact: "12.5".
std::string number(double value)
{
    std::string text = fmt::format("{:.4f}", value);
    text.erase(text.find_last_not_of('0') + 1);
    if (text.back() == '.')
        text.pop_back();
    return text == "-0" ? "0" : text;
}

std::string style_of(CardElement const& element)
{
    return element.area.empty() ? fmt::format("Words{}", element.words.face + 1) : kAreaStyle;
}

std::string style_line(std::string const& name, std::string const& family)
{
    return fmt::format(
        "Style: {},{},20,&H00FFFFFF,&H00FFFFFF,&H00000000,&H00000000,0,0,0,0,100,100,0,0,1,0,0,7,0,0,0,1\n", name,
        family);
}

std::string colour_tags(Colour colour)
{
    std::string tags = fmt::format("\\c&H{:02X}{:02X}{:02X}&", colour.blue, colour.green, colour.red);
    if (colour.alpha != 255)
        tags += fmt::format("\\1a&H{:02X}&", 255 - colour.alpha);
    return tags;
}

std::string fade_tag(EventFade const& fade)
{
    if (fade.low_in >= 1 && fade.low_out >= 1)
        return {};
    auto const transparency = [](double opacity) { return std::lround(255 * (1 - std::min(opacity, 1.0))); };
    return fmt::format("\\fade({},0,{},0,{},{},{})", transparency(fade.low_in), transparency(fade.low_out),
                       fade.full_from, fade.full_until, fade.end);
}

std::string place_tag(double x, double y) { return fmt::format("\\pos({},{})", number(x), number(y)); }

double pixels(int units) { return static_cast<double>(units) / kPathUnits; }

std::string letters_text(FilmWords const& words)
{
    std::string text;
    double kern = 0;
    for (auto const& letter : words.letters) {
        if (letter.kern != kern)
            text += fmt::format("{{\\fsp{}}}", number(letter.kern));
        kern = letter.kern;
        text += letter.text;
    }
    return text;
}

std::string words_text(CardElement const& element, EventFade const& fade)
{
    FilmWords const& words = element.words;
    std::string stretch;
    if (std::abs(words.stretch - 1) > 1e-4)
        stretch = fmt::format("\\fscx{}", number(100 * words.stretch));
    return fmt::format("{{{}{}{}\\fs{}{}}}{}",
                       place_tag(pixels(words.start.x), pixels(words.start.y) - words.size * FilmFonts::kAscent),
                       fade_tag(fade), colour_tags(element.colour), number(words.size), stretch, letters_text(words));
}

} // namespace

std::string script_header(std::string const& title, int width, int height, FilmFonts const& fonts)
{
    std::string header =
        fmt::format("[Script Info]\nTitle: {}\nScriptType: v4.00+\nPlayResX: {}\nPlayResY: {}\n"
                    "LayoutResX: {}\nLayoutResY: {}\nWrapStyle: 2\nScaledBorderAndShadow: yes\n"
                    "YCbCr Matrix: None\nKerning: no\n\n[V4+ Styles]\nFormat: Name, Fontname, Fontsize, "
                    "PrimaryColour, SecondaryColour, OutlineColour, BackColour, Bold, Italic, "
                    "Underline, StrikeOut, ScaleX, ScaleY, Spacing, Angle, BorderStyle, Outline, "
                    "Shadow, Alignment, MarginL, MarginR, MarginV, Encoding\n",
                    title, width, height, width, height);
    header += style_line(kAreaStyle, "sans-serif");
    for (int face = 0; face < fonts.count(); ++face)
        header += style_line(fmt::format("Words{}", face + 1), fonts.family(face));
    return header + "\n[Events]\nFormat: Layer, Start, End, Style, Name, MarginL, MarginR, MarginV, Effect, Text\n";
}

std::string event_text(std::span<CardElement const* const> elements, EventFade const& fade)
{
    CardElement const& first = *elements.front();
    if (first.area.empty())
        return words_text(first, fade);
    VectorPath area;
    for (CardElement const* element : elements)
        area.append(element->area);
    // Players differ in whether a drawing is placed by its own zero or by the corner of what it covers: make them one.
    PathPoint const corner = bounds_of(area).least;
    return fmt::format("{{{}{}{}\\p5}}{}", place_tag(pixels(corner.x), pixels(corner.y)), fade_tag(fade),
                       colour_tags(first.colour), drawing_commands(area, corner));
}

std::string event_fields(int layer, CardElement const& element, std::string const& text)
{
    return fmt::format("{},{},,0,0,0,,{}", layer, style_of(element), text);
}

} // namespace tabard::overlay
