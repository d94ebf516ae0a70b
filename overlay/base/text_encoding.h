#pragma once
#include <string>
#include <string_view>

namespace tabard {

/// The text of a file in UTF-8, without its byte order mark: UTF-16 is decoded where a mark says that it is (RFC 2781,
/// half a pair becomes U+FFFD), all else is as it was.
std::string text_of_bytes(std::string_view bytes);

} // namespace tabard
