#pragma once
#include <cstddef>
#include <string_view>

// Text by characters and not by bytes (UTF-8, RFC 3629).
namespace tabard {

/// Whether a byte goes on with a character that began before it.
constexpr bool continues_character(char byte) { return (static_cast<unsigned char>(byte) & 0xC0U) == 0x80U; }
/// Code points: bytes that begin a character, also where the text is not all UTF-8.
std::size_t count_characters(std::string_view text);

/// The text without the byte order mark that some editors begin a file with.
std::string_view without_byte_order_mark(std::string_view text);

} // namespace tabard
