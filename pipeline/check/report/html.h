#pragma once
#include "overlay/base/result.h"

#include <cstddef>
#include <span>
#include <string>
#include <string_view>

namespace tabard::pipeline {

/// Text as it may stand in HTML, also inside double quotes.
std::string html_escaped(std::string_view text);

/// RFC 4648, section 4.
std::string base64(std::span<std::byte const> bytes);

} // namespace tabard::pipeline
