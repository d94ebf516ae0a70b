#include "cli/terminal_text.h"

#include "overlay/base/utf8.h"

#include <fmt/format.h>

namespace tabard::cli {
namespace {

bool commands_a_terminal(char32_t sign)
{
    bool const control = (sign < 0x20 && sign != '\n' && sign != '\t') || (sign >= 0x7F && sign < 0xA0);
    bool const direction = (sign >= 0x202A && sign <= 0x202E) || (sign >= 0x2066 && sign <= 0x2069);
    return control || direction;
}

} // namespace

std::string terminal_text(std::string_view text)
{
    std::string shown;
    shown.reserve(text.size());
    while (!text.empty()) {
        std::size_t const length = utf8_length(text);
        if (length == 0)
            shown += fmt::format("\\x{:02x}", static_cast<unsigned char>(text[0]));
        else if (char32_t const sign = utf8_code_point(text); commands_a_terminal(sign))
            shown += fmt::format("\\u{:04x}", static_cast<unsigned>(sign));
        else
            shown += text.substr(0, length);
        text.remove_prefix(length == 0 ? 1 : length);
    }
    return shown;
}

} // namespace tabard::cli
