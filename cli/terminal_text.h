#pragma once
#include "pipeline/files/shell_word.h"

#include <string>
#include <string_view>

namespace tabard::cli {

/// The text as a terminal may show it. File names, cut lists, themes and tags of films are written by others and may
/// hold what commands a terminal or turns the order of what is read. Control characters but for line end and tab (C0,
/// DEL and C1 of ECMA-48) and the embeddings, overrides and isolates of the Unicode bidirectional algorithm (UAX #9,
/// U+202A-E and U+2066-9) are written as \uXXXX, which in JSON means the same; a byte that is not UTF-8 as \xXX.
std::string terminal_text(std::string_view text);

using pipeline::shell_word;

} // namespace tabard::cli
