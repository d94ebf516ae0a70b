#pragma once
#include <cstddef>
#include <string>
#include <string_view>

namespace tabard {

/// Bytes of the code point that `text` begins with, by RFC 3629 (no overlong forms, no surrogates, nothing above
/// U+10FFFF): 1 to 4, or 0 where none begins there.
std::size_t utf8_length(std::string_view text);

/// The code point that `text` begins with; utf8_length() must not be 0.
char32_t utf8_code_point(std::string_view text);

/// Offset of the first byte that is not part of UTF-8; the text's size where all is.
std::size_t first_invalid_utf8(std::string_view text);

/// The text with U+FFFD for each byte that is not part of UTF-8: file names may hold any.
std::string valid_utf8(std::string_view text);

/// The text on one line, for formats in which a line means something and readers of any kind: control characters (C0,
/// DEL, C1) and the separators U+2028 and U+2029 become spaces, bytes that are not UTF-8 become U+FFFD.
std::string on_one_line(std::string_view text);

} // namespace tabard
