#pragma once
#include "pipeline/cues/cue_document.h"

#include <cstddef>
#include <string>
#include <string_view>

namespace tabard::pipeline {

/// The document as text: two spaces a level, short arrays and objects on one line, a newline at the end.
std::string document_text(JsonValue const& document);
/// The document that was read from `old_text` and changed since: what was not changed keeps its bytes there, line ends
/// and columns too; what is new is written as above, long things on lines of their own.
std::string document_text(JsonValue const& document, std::string_view old_text);
/// One value as document_text() writes it, behind `column` characters of its line and indented by `indent`.
std::string value_text(JsonValue const& value, std::size_t indent, std::size_t column);

} // namespace tabard::pipeline
