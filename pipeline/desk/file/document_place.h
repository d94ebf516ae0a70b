#pragma once
#include "pipeline/cues/cue_document.h"

#include <cstddef>
#include <optional>
#include <string>
#include <variant>
#include <vector>

namespace tabard::pipeline {

/// The way to a value: keys of objects, indices of lists.
using DocumentPath = std::vector<std::variant<std::string, std::size_t>>;

/// What stands at a place of a cue file.
struct DocumentPlace {
    DocumentPath path;                ///< empty: the whole document
    JsonValue const* value = nullptr; ///< never null
    bool exact = false;               ///< the place is the first byte of the value, or of its key
    bool at_key = false;              ///< it is that of its key
    std::optional<std::size_t> part;  ///< index into "sections", where it lies in one
};

/// The innermost value that holds `at`; the whole document for no place. The document outlives it.
DocumentPlace place_in(JsonValue const& document, SourcePosition at);

} // namespace tabard::pipeline
