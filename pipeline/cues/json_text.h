#pragma once
#include "pipeline/cues/cue_document.h"
#include "pipeline/cues/finding.h"

#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace tabard::pipeline {

/// A JSON text (RFC 8259) as a tree with places, and what is wrong with it (syntax, size, depth: no tree then).
struct JsonReading {
    std::optional<JsonValue> value;
    std::vector<Finding> findings;
};
JsonReading read_json(std::string_view text);

/// The place of every byte of a string's content, and one past it, where escapes may stand for bytes.
/// `text` is the file without a byte order mark, `quote` the offset of the string's opening quote in it, `at` its
/// place.
std::vector<SourcePosition> string_places(std::string_view text, std::size_t quote, SourcePosition at);

} // namespace tabard::pipeline
