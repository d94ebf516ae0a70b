#include "overlay/base/text_encoding.h"

#include "overlay/base/characters.h"

namespace tabard {
namespace {

constexpr bool is_high_half(char32_t unit) { return unit >= 0xD800 && unit < 0xDC00; }
constexpr bool is_low_half(char32_t unit) { return unit >= 0xDC00 && unit < 0xE000; }

void append_utf8(std::string& text, char32_t code)
{
    auto const add = [&text](char32_t byte) { text += static_cast<char>(static_cast<unsigned char>(byte)); };
    if (code < 0x80) {
        add(code);
        return;
    }
    int const more = code < 0x800 ? 1 : code < 0x10000 ? 2 : 3;
    constexpr char32_t kLead[] = {0, 0xC0, 0xE0, 0xF0};
    add(kLead[more] | code >> (6 * more));
    for (int n = more - 1; n >= 0; --n)
        add(0x80 | (code >> (6 * n) & 0x3F));
}

std::string of_utf16(std::string_view bytes, bool low_byte_first)
{
    auto const unit = [&](std::size_t at) {
        char32_t const first = static_cast<unsigned char>(bytes[at]);
        char32_t const second = static_cast<unsigned char>(bytes[at + 1]);
        return low_byte_first ? first | second << 8 : first << 8 | second;
    };
    std::string text;
    std::size_t at = 0;
    for (; at + 1 < bytes.size(); at += 2) {
        char32_t code = unit(at);
        if (is_high_half(code) && at + 3 < bytes.size() && is_low_half(unit(at + 2))) {
            code = 0x10000 + ((code - 0xD800) << 10) + (unit(at + 2) - 0xDC00);
            at += 2;
        } else if (is_high_half(code) || is_low_half(code)) {
            code = 0xFFFD;
        }
        append_utf8(text, code);
    }
    if (at < bytes.size())
        append_utf8(text, 0xFFFD);
    return text;
}

} // namespace

std::string text_of_bytes(std::string_view bytes)
{
    if (bytes.starts_with("\xFF\xFE"))
        return of_utf16(bytes.substr(2), true);
    if (bytes.starts_with("\xFE\xFF"))
        return of_utf16(bytes.substr(2), false);
    return std::string{without_byte_order_mark(bytes)};
}

} // namespace tabard
