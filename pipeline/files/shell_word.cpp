#include "pipeline/files/shell_word.h"

#include <algorithm>

namespace tabard::pipeline {

std::string quoted_word(std::string_view text)
{
    std::string word = "'";
    for (char const c : text)
        word += c == '\'' ? "'\\''" : std::string(1, c);
    return word + "'";
}

std::string shell_word(std::string_view text)
{
    auto const is_plain = [](char c) {
        return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') ||
               std::string_view("_-./,:+@%").find(c) != std::string_view::npos;
    };
    return !text.empty() && std::ranges::all_of(text, is_plain) ? std::string(text) : quoted_word(text);
}

} // namespace tabard::pipeline
