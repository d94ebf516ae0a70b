#pragma once
#include <algorithm>
#include <string>

namespace tabard {

/// The small letter of A to Z; every other byte as it is. (std::tolower depends on the locale.)
constexpr char small_letter(char c) { return c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c; }

inline std::string small_letters(std::string text)
{
    std::ranges::transform(text, text.begin(), small_letter);
    return text;
}

} // namespace tabard
