#pragma once
#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

namespace tabard::pipeline {

/// What is said of a caption that cannot be read: "line 7: why". `line` counts from 0.
std::string left_out(std::size_t line, std::string_view why);

/// Whether the line was meant to stand over a caption: it has an arrow, or two times and something else between them.
bool is_like_timing(std::string_view line);

/// The same of the lines [first, end), over which no time stands.
std::string left_out_text(std::vector<std::string> const& lines, std::size_t first, std::size_t end);

} // namespace tabard::pipeline
