#pragma once
#include <string>
#include <string_view>
#include <vector>

namespace tabard::pipeline {

/// The lines of a caption file, of any ending; what stands behind the last line end is a line too. A byte order mark is
/// no part of them, and U+0000 becomes U+FFFD (W3C WebVTT 6.1, step 1).
std::vector<std::string> caption_lines(std::string_view text);

/// Without blanks, tabs and form feeds at its ends: what is white space to WebVTT and is no line end.
std::string_view trimmed_line(std::string_view line);

} // namespace tabard::pipeline
