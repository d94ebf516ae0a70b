#include "overlay/base/characters.h"

#include <algorithm>

namespace tabard {

std::size_t count_characters(std::string_view text)
{
    return text.size() - static_cast<std::size_t>(std::ranges::count_if(text, continues_character));
}

std::string_view without_byte_order_mark(std::string_view text)
{
    constexpr std::string_view kMark = "\xEF\xBB\xBF";
    return text.starts_with(kMark) ? text.substr(kMark.size()) : text;
}

} // namespace tabard
