#include "pipeline/publish/caption_lines.h"

#include "overlay/base/characters.h"

namespace tabard::pipeline {

std::vector<std::string> caption_lines(std::string_view text)
{
    text = without_byte_order_mark(text);
    std::vector<std::string> lines(1);
    for (std::size_t i = 0; i < text.size(); ++i) {
        if (text[i] == '\r' && i + 1 < text.size() && text[i + 1] == '\n')
            continue;
        if (text[i] == '\n' || text[i] == '\r')
            lines.emplace_back();
        else if (text[i] == '\0')
            lines.back() += "\uFFFD";
        else
            lines.back() += text[i];
    }
    return lines;
}

std::string_view trimmed_line(std::string_view line)
{
    constexpr std::string_view kBlanks = " \t\f";
    auto const first = line.find_first_not_of(kBlanks);
    return first == std::string_view::npos ? std::string_view{}
                                           : line.substr(first, line.find_last_not_of(kBlanks) - first + 1);
}

} // namespace tabard::pipeline
