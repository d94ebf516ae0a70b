#pragma once
#include <string>
#include <string_view>

namespace tabard::pipeline {

/// One word of a POSIX shell's command line, in single quotes.
std::string quoted_word(std::string_view text);

/// The same for people to read: in quotes only where it needs them.
std::string shell_word(std::string_view text);

} // namespace tabard::pipeline
