#pragma once
#include "overlay/base/result.h"
#include "pipeline/cues/cue_document.h"

#include <filesystem>
#include <string>

namespace tabard::pipeline {

/// The document as text: two spaces a level, short arrays and objects on one line, a newline at the end.
std::string document_text(JsonValue const& document);

/// Writes it to `path` as a whole or not at all: a temporary file beside it, then a rename. Fails with io.
Result<void> write_document(JsonValue const& document, std::filesystem::path const& path);

} // namespace tabard::pipeline
