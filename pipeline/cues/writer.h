#pragma once
#include "pipeline/cues/cue_document.h"

#include <string>

namespace tabard::pipeline {

/// The document as text: two spaces a level, short arrays and objects on one line, a newline at the end.
std::string document_text(JsonValue const& document);

} // namespace tabard::pipeline
