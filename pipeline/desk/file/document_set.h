#pragma once
#include "pipeline/desk/file/document_place.h"

namespace tabard::pipeline {

/// A value that is to stand at a place of a cue file.
struct DocumentSet {
    DocumentPath path;
    JsonValue value;
};

} // namespace tabard::pipeline
