#pragma once
#include "pipeline/desk/file/document_set.h"
#include "pipeline/desk/music/tapped_part.h"
#include "pipeline/desk/view/part_of_file.h"

#include <string>
#include <vector>

namespace tabard::pipeline {

/// What keeps a tapped part in the file.
struct TapEdits {
    std::vector<DocumentSet> edits;
    std::vector<std::string> warnings; ///< where the part meets its neighbours
};

/// Its pins, and what must follow them: where the part begins and ends, its tempo, and neighbours that touch it.
/// Everything else stays as the author wrote it. `document`: the file that `part` was read from.
TapEdits tap_edits(JsonValue const& document, PartOfFile const& part, TappedPart const& tapped);

} // namespace tabard::pipeline
