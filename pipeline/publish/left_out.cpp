#include "pipeline/publish/left_out.h"

#include <fmt/format.h>

namespace tabard::pipeline {
namespace {

/// Two times with something between them that is not "-->".
bool has_other_arrow(std::string_view line)
{
    constexpr std::string_view kDigits = "0123456789";
    auto const colon = line.find(':');
    return colon != std::string_view::npos && colon != line.rfind(':') && line.find_first_of(kDigits) == 0 &&
           line.find_first_of(">-\xE2") != std::string_view::npos &&
           line.find_first_not_of("0123456789:., \t<>-=\xE2\x80\x93\x94\x86\x92") == std::string_view::npos;
}

} // namespace

bool is_like_timing(std::string_view line)
{
    return line.find("-->") != std::string_view::npos || has_other_arrow(line);
}

std::string left_out(std::size_t line, std::string_view why) { return fmt::format("line {}: {}", line + 1, why); }

std::string left_out_text(std::vector<std::string> const& lines, std::size_t first, std::size_t end)
{
    for (std::size_t line = first; line < end; ++line)
        if (has_other_arrow(lines[line]))
            return left_out(line, "there is no arrow between the times; write 00:01:02.500 --> 00:01:04.000");
    return left_out(first, "no time stands over this text; write one, as 00:01:02.500 --> 00:01:04.000, or delete the "
                           "empty line before it if it belongs to the caption above");
}

} // namespace tabard::pipeline
