#include "overlay/music/names/plain_signs.h"

#include <algorithm>
#include <array>
#include <utility>

namespace tabard::overlay {
namespace {

using Sign = std::pair<std::string_view, std::string_view>;

/// What is written, and what it stands for.
constexpr std::array<Sign, 62> kSigns{{
    // raised and lowered
    {"⁰", "0"},
    {"¹", "1"},
    {"²", "2"},
    {"³", "3"},
    {"⁴", "4"},
    {"⁵", "5"},
    {"⁶", "6"},
    {"⁷", "7"},
    {"⁸", "8"},
    {"⁹", "9"},
    {"₂", "2"},
    {"₄", "4"},
    {"₅", "5"},
    {"₆", "6"},
    {"₇", "7"},
    {"₉", "9"},
    {"₁", "1"},
    {"₃", "3"},
    {"⁺", "+"},
    {"⁻", "-"},
    {"⁽", "("},
    {"⁾", ")"},
    {"ᵐ", "m"},
    {"ᵇ", "b"},
    // dashes, slashes, circles
    {"−", "-"},
    {"–", "-"},
    {"—", "-"},
    {"‐", "-"},
    {"‑", "-"},
    {"⁄", "/"},
    {"∕", "/"},
    {"˚", "°"},
    {"º", "°"},
    {"∘", "°"},
    {"○", "°"},
    {"⌀", "ø"},
    {"∅", "ø"},
    {"Ø", "ø"},
    {"Δ", "△"},
    {"∆", "△"},
    {"▵", "△"},
    {"▲", "△"},
    {"［", "("},
    {"］", ")"},
    {"[", "("},
    {"]", ")"},
    {"，", ","},
    // spaces, and what is not seen at all
    {"\t", " "},
    {"\u00A0", " "},
    {"\u2007", " "},
    {"\u2009", " "},
    {"\u200A", " "},
    {"\u200B", " "},
    {"\u202F", " "},
    {"\u3000", " "},
    {"\uFE0E", " "},
    {"\uFE0F", " "},
    {"\uFEFF", " "},
    // letters of another alphabet that look the same
    {"А", "A"},
    {"В", "B"},
    {"С", "C"},
    {"Е", "E"},
}};

constexpr std::size_t kWideBytes = 3; ///< the wide forms of ASCII, U+FF01 to U+FF5E, in UTF-8

/// The sign of ASCII that a wide form stands for; 0 where `text` begins with none.
char ascii_of_wide(std::string_view text)
{
    if (text.size() < kWideBytes || static_cast<unsigned char>(text[0]) != 0xEFU)
        return '\0';
    auto const second = static_cast<unsigned>(static_cast<unsigned char>(text[1]));
    auto const third = static_cast<unsigned>(static_cast<unsigned char>(text[2]));
    unsigned const point = 0xF000U | ((second & 0x3FU) << 6U) | (third & 0x3FU);
    return point >= 0xFF01U && point <= 0xFF5EU ? static_cast<char>(point - 0xFF01U + '!') : '\0';
}

} // namespace

std::string with_plain_signs(std::string_view text)
{
    std::string plain;
    while (!text.empty()) {
        auto const sign = std::ranges::find_if(kSigns, [&](Sign const& one) { return text.starts_with(one.first); });
        // A long dash at the end stands between names and makes none minor.
        bool const ends = sign != kSigns.end() && (sign->first == "–" || sign->first == "—") &&
                          (text.size() == sign->first.size() || text[sign->first.size()] == ' ');
        if (sign != kSigns.end() && !ends) {
            plain += sign->second;
            text.remove_prefix(sign->first.size());
        } else if (char const ascii = ascii_of_wide(text); ascii != '\0') {
            plain += ascii;
            text.remove_prefix(kWideBytes);
        } else {
            plain += text.front();
            text.remove_prefix(1);
        }
    }
    return plain;
}

} // namespace tabard::overlay
