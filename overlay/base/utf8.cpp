#include "overlay/base/utf8.h"

#include <algorithm>

namespace tabard {

std::size_t utf8_length(std::string_view text)
{
    auto const byte = [&](std::size_t at) { return at < text.size() ? static_cast<unsigned char>(text[at]) : 0U; };
    if (text.empty())
        return 0;
    unsigned const lead = byte(0);
    std::size_t const length = lead < 0x80   ? 1
                               : lead < 0xC2 ? 0
                               : lead < 0xE0 ? 2
                               : lead < 0xF0 ? 3
                               : lead < 0xF5 ? 4
                                             : 0;
    unsigned const low = lead == 0xE0 ? 0xA0 : lead == 0xF0 ? 0x90 : 0x80;
    unsigned const high = lead == 0xED ? 0x9F : lead == 0xF4 ? 0x8F : 0xBF;
    bool sound = length <= 1 || (byte(1) >= low && byte(1) <= high);
    for (std::size_t i = 2; i < length; ++i)
        sound = sound && (byte(i) & 0xC0U) == 0x80;
    return sound ? length : 0;
}

char32_t utf8_code_point(std::string_view text)
{
    constexpr unsigned kLeadBits[] = {0, 0x7F, 0x1F, 0x0F, 0x07};
    std::size_t const length = std::max<std::size_t>(utf8_length(text), 1);
    char32_t code = static_cast<unsigned char>(text[0]) & kLeadBits[length];
    for (std::size_t i = 1; i < length; ++i)
        code = code << 6U | (static_cast<unsigned char>(text[i]) & 0x3FU);
    return code;
}

std::size_t first_invalid_utf8(std::string_view text)
{
    std::size_t at = 0;
    while (at < text.size()) {
        std::size_t const length = utf8_length(text.substr(at));
        if (length == 0)
            return at;
        at += length;
    }
    return at;
}

std::string valid_utf8(std::string_view text)
{
    std::string valid;
    while (!text.empty()) {
        std::size_t const good = first_invalid_utf8(text);
        valid += text.substr(0, good);
        text.remove_prefix(good);
        if (text.empty())
            break;
        valid += "\uFFFD";
        text.remove_prefix(1);
    }
    return valid;
}

std::string on_one_line(std::string_view text)
{
    std::string const valid = valid_utf8(text);
    std::string line;
    for (std::string_view rest = valid; !rest.empty(); rest.remove_prefix(utf8_length(rest))) {
        char32_t const sign = utf8_code_point(rest);
        bool const control = sign < 0x20 || (sign >= 0x7F && sign < 0xA0);
        bool const separator = sign == 0x2028 || sign == 0x2029;
        line += control || separator ? " " : rest.substr(0, utf8_length(rest));
    }
    return line;
}

} // namespace tabard
