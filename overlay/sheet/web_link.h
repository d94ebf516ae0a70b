#pragma once
#include <string_view>

namespace tabard::overlay {

/// Whether a link may be made one that is followed by a click: http, https and mailto addresses (RFC 3986, case does
/// not matter). Others, "javascript:" above all, can make a reader's program do things; they are printed as text.
bool is_web_link(std::string_view link);

} // namespace tabard::overlay
