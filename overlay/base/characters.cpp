#include "overlay/base/characters.h"

#include <algorithm>

namespace tabard {

std::size_t count_characters(std::string_view text)
{
    return text.size() - static_cast<std::size_t>(std::ranges::count_if(text, continues_character));
}

std::string_view first_characters(std::string_view text, std::size_t most)
{
    std::size_t end = std::min(most, text.size());
    while (end > 0 && end < text.size() && continues_character(text[end]))
        --end;
    return text.substr(0, end);
}

std::string_view last_characters(std::string_view text, std::size_t most)
{
    std::size_t begin = text.size() - std::min(most, text.size());
    while (begin > 0 && begin < text.size() && continues_character(text[begin]))
        ++begin;
    return text.substr(begin);
}

std::string_view without_byte_order_mark(std::string_view text)
{
    constexpr std::string_view kMark = "\xEF\xBB\xBF";
    return text.starts_with(kMark) ? text.substr(kMark.size()) : text;
}

} // namespace tabard
