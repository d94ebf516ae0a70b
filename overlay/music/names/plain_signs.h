#pragma once
#include <string>
#include <string_view>

namespace tabard::overlay {

/// A chord name with the signs that look like those of the keyboard, or mean the same, in their place: "C⁷" is "C7",
/// "A−7" "A-7", "Ｃ" "C". Each character stays one character, so that places in the text stay right.
std::string with_plain_signs(std::string_view text);

} // namespace tabard::overlay
